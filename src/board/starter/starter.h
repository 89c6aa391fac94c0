/*
 * starter.h: the starter firmware as one structure: the board's side of a link with a controller behind it.
 *
 * SCOPE. Ties phantom_board.h to six_step.h or foc.h, with the numbers of starter_board.h in its Hello and those of
 * starter_motor.h in its loops. No I/O, no heap, no clock: a port (ports/) gives bytes to starter.board and sends what
 * comes out. C99.
 *
 * RECIPE. starter_init; phantom_board_hello(&s.board); then phantom_board_push(&s.board, byte) for every byte.
 *
 * NOTES. It sends two kinds of Note, as an example: at the first boot what it is, and at each trip the reason.
 *
 * THREADS. As phantom_board.h: one context for one starter; two are independent.
 */
#ifndef STARTER_H
#define STARTER_H

#include "phantom_board.h"
#include "foc.h"
#include "six_step.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Which controller. */
typedef enum starter_kind {
    STARTER_SIX_STEP, /* Hall six-step */
    STARTER_FOC       /* field-oriented, angle from Halls */
} starter_kind;

typedef struct starter {
    phantom_board board;  /* For the port: push bytes here, read its counters. */
    phantom_hello hello;
    starter_kind kind;
    uint8_t noted;        /* 1 after the first Note. */
    uint8_t trip;         /* Trip of the last tick. */
    union {
        six_step six;
        foc field;
    } control;
} starter;

/*
 * Prepares everything; nothing is sent. uid: which one of several such boards this is (number of the chip, or a text);
 * 63 bytes at most, and it lives as long as *s. put and port: as in phantom_board_init. Cannot fail. May be called
 * again for the next link. *s must not be moved afterwards: it points into itself.
 */
void starter_init(starter *s, starter_kind kind, const char *uid, phantom_put *put, void *port);

#ifdef __cplusplus
}
#endif

#endif /* STARTER_H */
