/*
 * ws_frames.h: the frames of a WebSocket after its handshake, server's side.
 *
 * SCOPE. Resumable: takes bytes in any pieces, hands over whole binary messages, answers pings and closes by itself. No
 * I/O, no allocation, no global state. C99.
 * WHAT IT REFUSES, with a close frame and its code: frames without a mask, reserved bits and opcodes, control frames that
 * are long or in pieces, pieces out of place, lengths not written in their shortest form, close codes that may not be
 * sent: 1002. Text: 1003. A message longer than WS_MESSAGE_MOST, in one piece or several: 1009, by its header alone.
 * After a close frame of either side nothing is handed over and nothing is sent.
 * THREADS. One link belongs to one reader; `take` and `put` run inside ws_push. In `take` ws_send may be called.
 * SOURCE: RFC 6455, The WebSocket Protocol, sections 5 and 7.4, from memory.
 */
#ifndef WS_FRAMES_H
#define WS_FRAMES_H

#include <stddef.h>
#include <stdint.h>

#define WS_MESSAGE_MOST 1024u /* [bytes] longest message taken; the drill's longest packet is far shorter */
#define WS_SEND_MOST 4224u    /* [bytes] longest message sent: a Hello of 4096 bytes as a packet, and some */
#define WS_CONTROL_MOST 125u  /* [bytes] of the body of a ping, pong or close */

#define WS_CLOSE_BREACH 1002u
#define WS_CLOSE_KIND 1003u
#define WS_CLOSE_TOO_LONG 1009u
#define WS_CLOSE_BARE 1005u /* a close frame without a code came; never sent */

/* Puts the bytes of one frame on their way; they are valid until it returns. */
typedef void ws_put(void *self, const uint8_t *bytes, size_t n);
/* Takes one whole message; valid until it returns. */
typedef void ws_take(void *self, const uint8_t *message, size_t n);

typedef struct ws_link {
    uint16_t closed;   /* 0 while it is open; then the code of the first close frame, sent or taken. */
    uint32_t messages; /* Binary messages taken. */
    uint32_t pings;    /* Pings answered. */

    /* Inside; not for callers. */
    ws_put *put;
    ws_take *take;
    void *self;
    uint8_t state;
    uint8_t first;     /* FIN and opcode of the frame under way */
    uint8_t need;      /* bytes of the length still to come */
    uint8_t mask[4];
    uint64_t size;     /* of the frame's body */
    uint32_t at;       /* bytes of mask or body taken */
    uint32_t length;   /* of the message so far */
    uint8_t in_pieces; /* 1: a message has begun and its last piece has not come */
    uint8_t control[WS_CONTROL_MOST];
    uint8_t message[WS_MESSAGE_MOST];
    uint8_t out[WS_SEND_MOST + 4u];
} ws_link;

/* Makes a link ready. self: first argument of both callbacks. Cannot fail. */
void ws_init(ws_link *w, ws_put *put, ws_take *take, void *self);

/* Takes the next byte. Returns 1 while the link is open, else 0. */
int ws_push(ws_link *w, uint8_t byte);

/* Sends one binary message, unmasked and whole. Returns 1; or 0 when the link is closed or n is above WS_SEND_MOST. */
int ws_send(ws_link *w, const uint8_t *message, size_t n);

#endif /* WS_FRAMES_H */
