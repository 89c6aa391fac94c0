/*
 * phantom_board.h: the board's side of a link, from bytes to control ticks and back.
 *
 * SCOPE. Answers every frame that the drill sends, in any pieces in which its bytes arrive. No I/O, no heap, no clock,
 * no library but memcpy, memmove, memset, memcmp and strlen, no global state. A port (UART, USB, TCP, WebSocket) is a loop
 * around it: bytes that arrive go to phantom_board_push, and `put` sends. C99.
 *
 * RECIPE.
 *   static phantom_board board;
 *   phantom_board_init(&board, &hello, put, &uart, tick, &controller);
 *   phantom_board_hello(&board);
 *   for (;;) if (uart_has_byte()) phantom_board_push(&board, uart_byte());
 *
 * WHAT IT ANSWERS. Greet: Hello. Sense: calls `tick`, then sends one Drive. Scene: calls `scene`, then sends one
 * Report. Beat that asks: Beat. Welcome, Refuse, Power, Bye: nothing; they are kept in the members below, and `power`
 * is called. A Sense that comes twice in a row, equal in every byte, is a repeated frame: `tick` is not called again,
 * since no time has passed, and the same Drive goes out once more. A frame that no drill sends is counted in `receiver`
 * and leaves no other trace.
 *
 * PUT. One frame is one call of `put`, and all of its bytes are in that call: so a port can hand it to a DMA or to one
 * write. They are valid until `put` returns. `put` cannot report a failure: a port that lost bytes notes it on its side
 * (the drill gives the answer up after Welcome.patience). A frame on a stream is never a multiple of 64 bytes long: such
 * a one gets a spare delimiter (0x00) behind it, which every receiver skips. USB devices send in packets of 64 or 512
 * bytes, and a transfer that ends on a full packet waits in many drivers until the next one comes (see USB.md).
 *
 * THREADS. All functions of one board run in one context: the main loop, or one interrupt. `put`, `tick`, `power` and
 * `scene` run inside phantom_board_push or phantom_board_message. In `tick`, `power` and `scene` phantom_board_note may
 * be called, nothing else; in `put` nothing. Two boards are independent.
 *
 * SPACE. The structure takes 1.9 KB with the limits as they stand, nearly all of it two buffers: what comes in
 * (PHANTOM_RECEIVE_MOST) and what goes out (PHANTOM_HELLO_MOST; with 400 the whole takes 1.3 KB). Stack: less than
 * 300 bytes, those of the callbacks aside. Code with framing and Hello: 3.8 KB on a Cortex-M0.
 *
 * SAFETY. `drive` is handed to `tick` cleared: all gates off. When a link ends, `power` is called with 0.
 */
#ifndef PHANTOM_BOARD_H
#define PHANTOM_BOARD_H

#include "phantom_framing.h"
#include "phantom_hello.h"

#ifdef __cplusplus
extern "C" {
#endif

/* [bytes] Room for the payload of Hello, the longest frame of a board. 1024 bytes do for eight watch values with long
 * names; each further one takes up to 120. The drill takes 4096 at most. Not below PHANTOM_NOTE_SIZE_MOST. */
#ifndef PHANTOM_HELLO_MOST
#define PHANTOM_HELLO_MOST 1024u
#endif
#if PHANTOM_HELLO_MOST < PHANTOM_NOTE_SIZE_MOST
#error "PHANTOM_HELLO_MOST must leave room for a Note: 201 bytes"
#endif

/* Puts the n bytes of one frame on their way; see PUT above. port: as given to phantom_board_init. */
typedef void phantom_put(void *port, const uint8_t *bytes, size_t n);

/*
 * One control tick. *sense is what the pins would read; *drive comes cleared (all gates off) but for tick and
 * watch_count, and what it holds on return is sent. Both are valid until the return. tick and watch_count are set
 * again afterwards, because an answer with another tick or another number of watch values ends the link.
 */
typedef void phantom_tick(void *self, const phantom_sense *sense, phantom_drive *drive);

/* The logic supply came (1) or went (0); at 0 all legs must open. 0 comes also with the end of the link. */
typedef void phantom_supply(void *self, int on);

/*
 * One interval of a board that closes its fast loops itself (Hello.rate_split). *report comes cleared but for number
 * and watch_count, which are set again afterwards.
 */
typedef void phantom_interval(void *self, const phantom_scene *scene, phantom_report *report);

typedef struct phantom_board {
    /* Set by phantom_board_init. */
    phantom_receiver receiver;  /* Its counters say what was dropped, and why. */
    const phantom_hello *hello; /* What the board says of itself; must live as long as the board. */
    phantom_put *put;
    void *port;                 /* First argument of put. */
    phantom_tick *tick;
    void *self;                 /* First argument of tick, power and scene. */

    /* For the caller to set after phantom_board_init, before the first byte; all are 0 or NULL there. */
    uint8_t messages;           /* 1: put gets bare packets, and phantom_board_message takes them (WebSocket). */
    phantom_supply *power;      /* May stay NULL. */
    phantom_interval *scene;    /* NULL: no Scene is answered. */
    uint32_t clock_us;          /* [us] Clock of the board, sent with the answer to a Beat; 0: it has none. */

    /* To read. */
    phantom_welcome welcome;    /* The terms of the drill; of use while welcomed is 1. */
    phantom_refuse refuse;      /* Why the drill refuses, in words too; of use while refused is 1. */
    uint8_t welcomed;           /* 1 from Welcome until the next Greet, Refuse or Bye. */
    uint8_t refused;            /* 1 from Refuse until the next Greet or Welcome. */
    uint8_t ended;              /* 1 from a Bye of either side until the next Greet; no Sense is answered meanwhile. */
    uint8_t powered;            /* 1 while the supply is up, as the last Power said. */
    uint32_t answered;          /* Drives and Reports sent. */
    uint32_t repeated;          /* Those among them that answer a repeated Sense. */
    uint32_t beats;             /* Beats answered. */

    /* Inside; not for callers. */
    uint8_t has_drive;                      /* 1: last and drive belong together. */
    uint8_t last[PHANTOM_SENSE_SIZE];       /* Payload of the last Sense. */
    phantom_drive drive;                    /* The answer to it. */
    uint8_t wire[PHANTOM_WIRE_MOST(PHANTOM_HELLO_MOST) + 1u];
} phantom_board;

/*
 * Makes a board ready; nothing is sent. Preconditions: no argument but port and self is NULL; *hello, and whatever port
 * and self point at, live as long as the board. Cannot fail. May be called again for a new link; all counters restart.
 */
void phantom_board_init(phantom_board *b, const phantom_hello *hello, phantom_put *put, void *port, phantom_tick *tick,
                        void *self);

/*
 * Says Hello without being asked: once at the start, so that a drill that listens already need not wait. Returns 1; or
 * 0 when Hello does not fit in PHANTOM_HELLO_MOST bytes or one of its texts is longer than 255 bytes. Then a Note of
 * level PHANTOM_NOTE_FAILURE goes out in its place, and the same happens at every Greet.
 */
int phantom_board_hello(phantom_board *b);

/*
 * Takes the next byte of a stream. Returns 1 when it completed a good frame, which has then been handled and answered;
 * else 0. Never fails: damaged bytes are counted in b->receiver. Precondition: b->messages is 0.
 */
int phantom_board_push(phantom_board *b, uint8_t byte);

/*
 * Takes one message: a packet without stuffing and delimiters. Returns as phantom_board_push. `packet` is read, and not
 * kept. Precondition: b->messages is 1, or the answers go out stuffed.
 */
int phantom_board_message(phantom_board *b, const uint8_t *packet, size_t n);

/*
 * Sends a text to the person at the drill; never instead of an answer, and not more than a few a second: each takes its
 * time on the line. level: PHANTOM_NOTE_PLAIN, _WARNING or _FAILURE. text: one line of UTF-8, closed with 0; cut to
 * PHANTOM_TEXT_MOST bytes at the end of a character. It is read before the return, and not kept. Cannot fail.
 */
void phantom_board_note(phantom_board *b, uint8_t level, const char *text);

/*
 * Ends the link: sends Bye, and calls power with 0. reason: PHANTOM_BYE_DONE, _FAULT or _RESTART. Until the next Greet
 * no Sense is answered. Not to be called in a callback. Cannot fail.
 */
void phantom_board_bye(phantom_board *b, uint8_t reason);

#ifdef __cplusplus
}
#endif

#endif /* PHANTOM_BOARD_H */
