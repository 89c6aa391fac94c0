/* Packets on a byte stream; see phantom_framing.h. */
#include "phantom_framing.h"

/* Half-byte table of the polynomial 0x1021: 32 bytes of flash, two look-ups per byte. */
static const uint16_t crc_table[16] = {
    0x0000u, 0x1021u, 0x2042u, 0x3063u, 0x4084u, 0x50A5u, 0x60C6u, 0x70E7u,
    0x8108u, 0x9129u, 0xA14Au, 0xB16Bu, 0xC18Cu, 0xD1ADu, 0xE1CEu, 0xF1EFu};

static uint16_t crc_step(uint16_t crc, uint8_t byte)
{
    crc = (uint16_t)((uint16_t)(crc << 4) ^ crc_table[(crc >> 12) ^ (byte >> 4)]);
    return (uint16_t)((uint16_t)(crc << 4) ^ crc_table[(crc >> 12) ^ (byte & 15u)]);
}

uint16_t phantom_crc16(const uint8_t *bytes, size_t n)
{
    uint16_t crc = 0xFFFFu;
    for (size_t k = 0; k < n; k++) crc = crc_step(crc, bytes[k]);
    return crc;
}

void phantom_receiver_init(phantom_receiver *r)
{
    memset(r, 0, sizeof *r);
}

/* Takes the stuffing out in place: no byte is written before it was read. Returns the length, or -1. */
static int32_t cobs_decode(uint8_t *bytes, size_t n)
{
    size_t o = 0;
    size_t k = 0;
    while (k < n) {
        const uint8_t code = bytes[k++];
        const size_t stop = k + code - 1u;
        if (stop > n) return -1;
        while (k < stop) bytes[o++] = bytes[k++];
        if (code != 0xFFu && k < n) bytes[o++] = 0;
    }
    return (int32_t)o;
}

/* Checksum before id and length: those of a damaged packet mean nothing. */
static int take_packet(phantom_receiver *r, const uint8_t *packet, size_t length)
{
    if (length < PHANTOM_PACKET_EXTRA) {
        r->wrong_length++;
        return 0;
    }
    const size_t end = length - 2u;
    const uint16_t sent = (uint16_t)(packet[end] | ((uint16_t)packet[end + 1u] << 8));
    if (phantom_crc16(packet, end) != sent) {
        r->bad_crc++;
        return 0;
    }
    const size_t size = end - 1u;
    const int fits = phantom_host_payload(packet[0], size);
    if (fits < 0) {
        r->unknown_id++;
        return 0;
    }
    if (fits == 0) {
        r->wrong_length++;
        return 0;
    }
    r->id = packet[0];
    r->payload_size = (uint8_t)size;
    memcpy(r->payload, packet + 1, size);
    r->packets++;
    return 1;
}

int phantom_receiver_message(phantom_receiver *r, const uint8_t *packet, size_t n)
{
    if (n <= PHANTOM_RECEIVE_MOST + PHANTOM_PACKET_EXTRA) return take_packet(r, packet, n);
    r->too_long++;
    return 0;
}

int phantom_receiver_push(phantom_receiver *r, uint8_t byte)
{
    if (byte != 0) {
        if (r->length < sizeof r->buffer) r->buffer[r->length++] = byte;
        else r->overrun = 1;
        return 0;
    }
    const size_t stuffed = r->length;
    const uint8_t overrun = r->overrun;
    r->length = 0;
    r->overrun = 0;
    if (overrun) {
        r->too_long++;
        return 0;
    }
    if (stuffed == 0) return 0; /* two delimiters in a row: the end of one frame and the start of the next */
    const int32_t length = cobs_decode(r->buffer, stuffed);
    if (length < 0) {
        r->bad_cobs++;
        return 0;
    }
    return take_packet(r, r->buffer, (size_t)length);
}

/* Where phantom_frame_wrap stands in its output. */
typedef struct stuffer {
    uint8_t *out;
    size_t code_at; /* place of the code of the open block */
    size_t o;       /* end of the output */
    uint8_t code;
} stuffer;

static void close_block(stuffer *s)
{
    s->out[s->code_at] = s->code;
    s->code_at = s->o++;
    s->code = 1;
}

static void stuff(stuffer *s, uint8_t byte)
{
    if (s->code == 0xFFu) close_block(s); /* only when something follows: a full last block needs no further code */
    if (byte == 0) {
        close_block(s);
        return;
    }
    s->out[s->o++] = byte;
    s->code++;
}

size_t phantom_frame_wrap(uint8_t id, const uint8_t *payload, size_t payload_size, uint8_t *out)
{
    uint16_t crc = crc_step(0xFFFFu, id);
    stuffer s;
    s.out = out;
    s.code_at = 1;
    s.o = 2;
    s.code = 1;
    out[0] = 0;
    stuff(&s, id);
    for (size_t k = 0; k < payload_size; k++) {
        crc = crc_step(crc, payload[k]);
        stuff(&s, payload[k]);
    }
    stuff(&s, (uint8_t)crc);
    stuff(&s, (uint8_t)(crc >> 8));
    out[s.code_at] = s.code;
    out[s.o++] = 0;
    return s.o;
}

size_t phantom_packet_seal(uint8_t id, const uint8_t *payload, size_t payload_size, uint8_t *out)
{
    memmove(out + 1, payload, payload_size);
    out[0] = id;
    const uint16_t crc = phantom_crc16(out, payload_size + 1u);
    out[payload_size + 1u] = (uint8_t)crc;
    out[payload_size + 2u] = (uint8_t)(crc >> 8);
    return payload_size + PHANTOM_PACKET_EXTRA;
}
