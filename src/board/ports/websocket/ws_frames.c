/* Frames of a WebSocket; see ws_frames.h. */
#include "ws_frames.h"

#include <string.h>

#define FIN 0x80u
#define RESERVED 0x70u
#define MASKED 0x80u
#define CONTROL 0x08u /* bit of the opcode */
#define CONTINUATION 0x0u
#define TEXT 0x1u
#define BINARY 0x2u
#define CLOSE 0x8u
#define PING 0x9u
#define PONG 0xAu

enum { FIRST, SECOND, LENGTH, MASK, BODY };

void ws_init(ws_link *w, ws_put *put, ws_take *take, void *self)
{
    memset(w, 0, sizeof *w);
    w->put = put;
    w->take = take;
    w->self = self;
}

static void send_frame(ws_link *w, uint8_t opcode, const uint8_t *body, size_t n)
{
    size_t o = 0;
    w->out[o++] = (uint8_t)(FIN | opcode);
    if (n < 126u) {
        w->out[o++] = (uint8_t)n;
    } else {
        w->out[o++] = 126u;
        w->out[o++] = (uint8_t)(n >> 8);
        w->out[o++] = (uint8_t)n;
    }
    if (n > 0) memcpy(w->out + o, body, n);
    w->put(w->self, w->out, o + n);
}

int ws_send(ws_link *w, const uint8_t *message, size_t n)
{
    if (w->closed || n > WS_SEND_MOST) return 0;
    send_frame(w, BINARY, message, n);
    return 1;
}

static int refuse(ws_link *w, uint16_t code)
{
    const uint8_t body[2] = {(uint8_t)(code >> 8), (uint8_t)code};
    send_frame(w, CLOSE, body, sizeof body);
    w->closed = code;
    return 0;
}

/* Codes that a close frame may carry: those of the standard and of its register, of libraries, and private ones. */
static int may_be_sent(uint32_t code)
{
    return (code >= 1000u && code <= 1014u && (code < 1004u || code > 1006u)) || (code >= 3000u && code <= 4999u);
}

static int answer_close(ws_link *w)
{
    if (w->size == 0) {
        send_frame(w, CLOSE, NULL, 0);
        w->closed = WS_CLOSE_BARE;
        return 0;
    }
    const uint32_t code = w->size < 2 ? 0u : (uint32_t)((w->control[0] << 8) | w->control[1]);
    return refuse(w, may_be_sent(code) ? (uint16_t)code : WS_CLOSE_BREACH);
}

static int end_frame(ws_link *w)
{
    const uint8_t opcode = w->first & 15u;
    w->state = FIRST;
    if (opcode == CLOSE) return answer_close(w);
    if (opcode == PING) {
        w->pings++;
        send_frame(w, PONG, w->control, (size_t)w->size);
    } else if (opcode != PONG) {
        w->in_pieces = (w->first & FIN) == 0;
        if (w->in_pieces) return 1;
        w->messages++;
        w->take(w->self, w->message, w->length);
    }
    return w->closed == 0;
}

/* The length is known: what does not fit is refused before a byte of it is taken. */
static int end_length(ws_link *w)
{
    if (w->first & CONTROL) {
        if (w->size > WS_CONTROL_MOST) return refuse(w, WS_CLOSE_BREACH);
    } else {
        if ((w->first & 15u) != CONTINUATION) w->length = 0;
        if (w->size > WS_MESSAGE_MOST - w->length) return refuse(w, WS_CLOSE_TOO_LONG);
    }
    w->state = MASK;
    w->at = 0;
    return 1;
}

static int take_first(ws_link *w, uint8_t byte)
{
    const uint8_t opcode = byte & 15u;
    w->first = byte;
    w->state = SECOND;
    if (byte & RESERVED) return refuse(w, WS_CLOSE_BREACH);
    if (opcode & CONTROL) return opcode > PONG || (byte & FIN) == 0 ? refuse(w, WS_CLOSE_BREACH) : 1;
    if (opcode > BINARY || (opcode == CONTINUATION) != (w->in_pieces != 0)) return refuse(w, WS_CLOSE_BREACH);
    return opcode == TEXT ? refuse(w, WS_CLOSE_KIND) : 1;
}

static int take_second(ws_link *w, uint8_t byte)
{
    if ((byte & MASKED) == 0) return refuse(w, WS_CLOSE_BREACH);
    w->size = byte & 127u;
    if (w->size < 126u) return end_length(w);
    w->need = w->size == 126u ? 2u : 8u;
    w->state = LENGTH;
    w->size = 0;
    w->at = 0;
    return 1;
}

static int take_length(ws_link *w, uint8_t byte)
{
    w->size = (w->size << 8) | byte;
    if (++w->at < w->need) return 1;
    const int shortest = w->need == 2u ? w->size > 125u : w->size > 65535u && w->size >> 63 == 0;
    return shortest ? end_length(w) : refuse(w, WS_CLOSE_BREACH);
}

static int take_mask(ws_link *w, uint8_t byte)
{
    w->mask[w->at++] = byte;
    if (w->at < 4u) return 1;
    w->state = BODY;
    w->at = 0;
    return w->size == 0 ? end_frame(w) : 1;
}

static int take_body(ws_link *w, uint8_t byte)
{
    const uint8_t plain = byte ^ w->mask[w->at & 3u];
    if (w->first & CONTROL) w->control[w->at] = plain;
    else w->message[w->length++] = plain;
    return ++w->at < w->size ? 1 : end_frame(w);
}

int ws_push(ws_link *w, uint8_t byte)
{
    if (w->closed) return 0;
    switch (w->state) {
    case FIRST: return take_first(w, byte);
    case SECOND: return take_second(w, byte);
    case LENGTH: return take_length(w, byte);
    case MASK: return take_mask(w, byte);
    default: return take_body(w, byte);
    }
}
