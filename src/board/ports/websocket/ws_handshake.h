/*
 * ws_handshake.h: the request with which a WebSocket begins, and its answer.
 *
 * SCOPE. Resumable: takes the request byte by byte. No I/O, no allocation, no global state. C99.
 * SAFETY. A browser sends such a request for any page that asks. So the request must name this machine as its host (else
 * a name that an attacker points at 127.0.0.1 would do), and an Origin, which only browsers send, must be of this
 * machine or the one that the caller allows.
 * LIMITS. 16 KB in all. Lines longer than WS_LINE_MOST are skipped, unless they are among those that count.
 * SOURCE: RFC 6455, The WebSocket Protocol, sections 1.3 and 4.2; RFC 4648 for base64; from memory.
 */
#ifndef WS_HANDSHAKE_H
#define WS_HANDSHAKE_H

#include <stddef.h>
#include <stdint.h>

#define WS_KEY_LENGTH 24u     /* base64 of 16 bytes */
#define WS_ACCEPT_LENGTH 28u  /* base64 of 20 bytes */
#define WS_LINE_MOST 512u
#define WS_REQUEST_MOST 16384u
#define WS_ANSWER_MOST 512u   /* room for any answer */

typedef struct ws_handshake {
    int status;         /* 0: more bytes are needed. 101: it fits. Else the HTTP status of the refusal. */
    const char *why;    /* Words of a refusal. */

    /* Inside; not for callers. */
    const char *origin; /* allowed beside those of this machine, or NULL */
    uint32_t total;
    uint16_t length;    /* of the line so far */
    uint8_t cut;        /* 1: the line is longer than the buffer */
    uint8_t begun;      /* 1: the first line was read */
    uint8_t found;      /* which of the lines that count have come */
    char key[WS_KEY_LENGTH + 1u];
    char line[WS_LINE_MOST + 1u];
} ws_handshake;

/* Makes ready for one request. origin: allowed beside those of this machine, as browsers write it, or NULL. */
void ws_handshake_init(ws_handshake *h, const char *origin);

/* Takes the next byte. Returns 1 when the request is complete or refused: then `status` says which. */
int ws_handshake_push(ws_handshake *h, uint8_t byte);

/* Writes the answer to `status`, with the words of a refusal; returns its length. Precondition: room for WS_ANSWER_MOST. */
size_t ws_handshake_answer(const ws_handshake *h, char *out);

/* The value of Sec-WebSocket-Accept for a key of WS_KEY_LENGTH characters, closed with a 0. */
void ws_accept(const char *key, char out[WS_ACCEPT_LENGTH + 1u]);

/* base64 of n bytes, closed with a 0. Precondition: out has room for 4 * ((n + 2) / 3) + 1 characters. */
void ws_base64(const uint8_t *bytes, size_t n, char *out);

#endif /* WS_HANDSHAKE_H */
