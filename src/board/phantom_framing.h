/*
 * phantom_framing.h: packets on a byte stream (UART, USB, TCP, pipe).
 *
 * SCOPE. Wraps and unwraps packets: 0x00, COBS(id | payload | CRC-16), 0x00. No I/O, no allocation, no global state
 * but the constant checksum table; fixed buffers inside the structure that the caller owns. C99.
 *
 * RECIPE. phantom_board.h does all of this and answers too; what follows is for those who do without it.
 * Once: phantom_receiver_init. For each byte that arrives (an interrupt will do): phantom_receiver_push; when
 * it returns 1, a whole, checked packet lies in id, payload and payload_size until the next push. To send: encode a
 * payload with the functions of phantom_link.h or phantom_hello.h, then phantom_frame_wrap, then put the bytes out.
 *
 * THREADS. One receiver belongs to one reader; two receivers are independent.
 *
 * ERRORS. A damaged, foreign or overlong packet is dropped and counted by cause; the receiver goes on with the next
 * delimiter. Nothing that arrives can make it write outside its buffer.
 *
 * SOURCE of the stuffing: S. Cheshire, M. Baker, Consistent Overhead Byte Stuffing, IEEE/ACM Transactions on
 * Networking 7(2), 1999.
 */
#ifndef PHANTOM_FRAMING_H
#define PHANTOM_FRAMING_H

#include "phantom_link.h"

#ifdef __cplusplus
extern "C" {
#endif

/* [bytes] Longest payload that a receiver takes; the drill sends no longer one. */
#ifndef PHANTOM_RECEIVE_MOST
#define PHANTOM_RECEIVE_MOST PHANTOM_HOST_PAYLOAD_MOST
#endif

/* [bytes] What a packet has around its payload: id and CRC. */
#define PHANTOM_PACKET_EXTRA 3u

/* [bytes] Longest stuffed packet for a payload of n bytes, without delimiters. */
#define PHANTOM_STUFFED_MOST(n) ((n) + PHANTOM_PACKET_EXTRA + ((n) + PHANTOM_PACKET_EXTRA) / 254u + 1u)

/* [bytes] Room that phantom_frame_wrap needs for a payload of n bytes: the stuffed packet and two delimiters. */
#define PHANTOM_WIRE_MOST(n) (PHANTOM_STUFFED_MOST(n) + 2u)

typedef struct phantom_receiver {
    uint8_t id;             /* Id of the packet that was just completed. */
    uint8_t payload_size;   /* [bytes] Length of its payload. */
    uint8_t payload[PHANTOM_RECEIVE_MOST]; /* Its payload; valid until the next push. */

    uint32_t packets;       /* Good packets since init. */
    uint32_t bad_crc;       /* Dropped: checksum did not match. */
    uint32_t too_long;      /* Dropped: more bytes between two delimiters than any packet of the drill has. */
    uint32_t bad_cobs;      /* Dropped: not a stuffed packet (a block was cut short). */
    uint32_t wrong_length;  /* Dropped: checksum right, but fewer bytes than a packet has or not those of its id. */
    uint32_t unknown_id;    /* Dropped: checksum right, but no frame that the drill sends. */

    /* Inside; not for callers. */
    uint8_t buffer[PHANTOM_STUFFED_MOST(PHANTOM_RECEIVE_MOST)];
    uint16_t length;
    uint8_t overrun;
} phantom_receiver;

/* Checksum of n bytes: CRC-16/IBM-3740. Precondition: bytes points at n bytes, or n is 0. Time: proportional to n. */
uint16_t phantom_crc16(const uint8_t *bytes, size_t n);

/* Makes a receiver ready and zeroes its counters. Precondition: r is not null. */
void phantom_receiver_init(phantom_receiver *r);

/*
 * Takes the next byte of the stream. Returns 1 when this byte completed a good packet, else 0.
 * Constant time per byte, but for the delimiter that ends a packet: then proportional to its length
 * (PHANTOM_RECEIVE_MOST bytes at most).
 */
int phantom_receiver_push(phantom_receiver *r, uint8_t byte);

/*
 * Takes a whole packet from a link that keeps message borders: id, payload, CRC, neither stuffed nor delimited. Returns
 * and counts as phantom_receiver_push does; a message that no frame of the drill can be counts as too_long.
 * Precondition: packet points at n bytes, or n is 0.
 */
int phantom_receiver_message(phantom_receiver *r, const uint8_t *packet, size_t n);

/*
 * Wraps a payload for the stream. Precondition: out has room for PHANTOM_WIRE_MOST(payload_size) bytes. payload does
 * not overlap it, or lies at out + PHANTOM_WIRE_MOST(payload_size) - payload_size or behind: then one buffer does for
 * both, and the payload is lost. Returns the number of bytes to send; cannot fail.
 */
size_t phantom_frame_wrap(uint8_t id, const uint8_t *payload, size_t payload_size, uint8_t *out);

/*
 * Makes the bare packet for a link that keeps message borders: id, payload, CRC. Precondition: out has room for
 * payload_size + PHANTOM_PACKET_EXTRA bytes; payload may overlap it in any way, and is lost then. Returns the number of
 * bytes to send; cannot fail.
 */
size_t phantom_packet_seal(uint8_t id, const uint8_t *payload, size_t payload_size, uint8_t *out);

#ifdef __cplusplus
}
#endif

#endif /* PHANTOM_FRAMING_H */
