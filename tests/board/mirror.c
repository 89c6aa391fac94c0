/*
 * Test program: what the C kit makes of a stream, for comparison with the TypeScript side.
 * Each Sense comes back as Drive frames built from it, each Greet as a Hello frame of `version` patterned bytes; at the
 * end of the input a frame with id 0x7F holds packets and the five drop counters as u32.
 */
#include <unistd.h>

#include "phantom_framing.h"

#define PATTERN_MOST 1024u

static void put_frame(uint8_t id, const uint8_t *payload, size_t size)
{
    uint8_t wire[PHANTOM_WIRE_MOST(PATTERN_MOST)];
    const uint8_t *at = wire;
    size_t left = phantom_frame_wrap(id, payload, size, wire);
    while (left > 0) {
        const ssize_t done = write(1, at, left);
        if (done <= 0) return;
        at += done;
        left -= (size_t)done;
    }
}

static void mirror_sense(const phantom_receiver *r)
{
    phantom_sense sense;
    phantom_drive drive;
    phantom_drive again;
    uint8_t payload[PHANTOM_DRIVE_SIZE_MOST];
    if (!phantom_sense_decode(&sense, r->payload, r->payload_size)) return;
    put_frame(PHANTOM_SENSE_ID, payload, phantom_sense_encode(&sense, payload));

    drive.tick = sense.tick;
    drive.gates = (uint8_t)(sense.flags & 7u);
    drive.state = (uint8_t)(sense.flags >> 8);
    drive.trip = (uint8_t)sense.flags;
    drive.duty_a = sense.ia;
    drive.duty_b = sense.ib;
    drive.duty_c = sense.ic;
    drive.busy = sense.link;
    drive.watch_count = (uint8_t)(sense.trigger % 40u); /* beyond PHANTOM_WATCH_MOST too */
    for (uint8_t k = 0; k < PHANTOM_WATCH_MOST; k++) drive.watch[k] = (float)sense.hall_age / (float)(k + 3u);
    const size_t size = phantom_drive_encode(&drive, payload);
    if (!phantom_drive_decode(&again, payload, size)) return;
    put_frame(PHANTOM_DRIVE_ID, payload, phantom_drive_encode(&again, payload));
}

static void mirror_greet(const phantom_receiver *r)
{
    phantom_greet greet;
    uint8_t payload[PATTERN_MOST];
    if (!phantom_greet_decode(&greet, r->payload, r->payload_size) || greet.version > PATTERN_MOST) return;
    for (size_t k = 0; k < greet.version; k++) payload[k] = (uint8_t)(k % 300u == 299u ? 0u : 1u + k % 255u);
    put_frame(PHANTOM_HELLO_ID, payload, greet.version);
}

static void put_counters(const phantom_receiver *r)
{
    const uint32_t counts[6] = {r->packets, r->bad_crc, r->too_long, r->bad_cobs, r->wrong_length, r->unknown_id};
    uint8_t payload[24];
    for (size_t k = 0; k < 24u; k++) payload[k] = (uint8_t)(counts[k / 4u] >> (8u * (k % 4u)));
    put_frame(0x7F, payload, sizeof payload);
}

int main(void)
{
    phantom_receiver receiver;
    uint8_t chunk[512];
    phantom_receiver_init(&receiver);
    for (;;) {
        const ssize_t n = read(0, chunk, sizeof chunk);
        if (n <= 0) break;
        for (ssize_t k = 0; k < n; k++) {
            if (!phantom_receiver_push(&receiver, chunk[k])) continue;
            if (receiver.id == PHANTOM_SENSE_ID) mirror_sense(&receiver);
            else mirror_greet(&receiver);
        }
    }
    put_counters(&receiver);
    return 0;
}
