/* One session on a byte stream; see starter.h. On a board, this loop is the only part to write anew. */
#include "starter.h"

#include <unistd.h>

#include "phantom_framing.h"
#include "phantom_hello.h"
#include "six_step.h"
#include "starter_board.h"

#ifndef STARTER_FIRMWARE
#define STARTER_FIRMWARE "starter, not stamped" /* the Makefile stamps it with a hash of the sources */
#endif

#define HELLO_ROOM 1024u

static const phantom_watch watch[] = {
    {"speed", "rad/s", "motorSpeed"},
    {"pair current", "A", NULL},
    {"sector", "", NULL},
};

static const phantom_hello hello = {
    .board = "six-step starter",
    .uid = "starter",
    .firmware = STARTER_FIRMWARE,
    .shunts = "abc",
    .pwm_Hz = BOARD_PWM_HZ,
    .updates = 1,
    .bits = BOARD_BITS,
    .current_per_count_A = BOARD_CURRENT_PER_COUNT_A,
    .current_zero_counts = BOARD_CURRENT_ZERO_COUNTS,
    .link_per_count_V = BOARD_LINK_PER_COUNT_V,
    .trigger_low_counts = BOARD_TRIGGER_LOW_COUNTS,
    .trigger_high_counts = BOARD_TRIGGER_HIGH_COUNTS,
    .halls = 1,
    .virtual_tick = 1,
    .watch_count = sizeof watch / sizeof watch[0],
    .watch = watch,
};

static int write_all(int out, const uint8_t *bytes, size_t n)
{
    while (n > 0) {
        const ssize_t done = write(out, bytes, n);
        if (done <= 0) return 0;
        bytes += done;
        n -= (size_t)done;
    }
    return 1;
}

static int send_frame(int out, uint8_t id, const uint8_t *payload, size_t size)
{
    uint8_t wire[PHANTOM_WIRE_MOST(HELLO_ROOM)];
    return write_all(out, wire, phantom_frame_wrap(id, payload, size, wire));
}

static int say_hello(int out)
{
    uint8_t payload[HELLO_ROOM];
    const size_t size = phantom_hello_encode(&hello, payload, sizeof payload);
    return size > 0 && send_frame(out, PHANTOM_HELLO_ID, payload, size);
}

/* A sign of life that asks goes back with the same number. */
static int send_beat(const phantom_receiver *r, int out)
{
    phantom_beat beat;
    uint8_t payload[PHANTOM_BEAT_SIZE];
    if (!phantom_beat_decode(&beat, r->payload, r->payload_size) || beat.levels & PHANTOM_BEAT_ANSWER) return 1;
    beat.levels = PHANTOM_BEAT_ANSWER;
    return send_frame(out, PHANTOM_BEAT_ID, payload, phantom_beat_encode(&beat, payload));
}

static int answer(const phantom_receiver *r, six_step *controller, int out)
{
    if (r->id == PHANTOM_GREET_ID) return say_hello(out);
    if (r->id == PHANTOM_BEAT_ID) return send_beat(r, out);
    if (r->id != PHANTOM_SENSE_ID) return 1;
    phantom_sense sense;
    phantom_drive drive;
    uint8_t payload[PHANTOM_DRIVE_SIZE_MOST];
    if (!phantom_sense_decode(&sense, r->payload, r->payload_size)) return 1;
    six_step_tick(controller, &sense, &drive);
    return send_frame(out, PHANTOM_DRIVE_ID, payload, phantom_drive_encode(&drive, payload));
}

int serve(int in, int out)
{
    phantom_receiver receiver;
    six_step controller;
    uint8_t chunk[256];
    phantom_receiver_init(&receiver);
    six_step_init(&controller, &six_step_18V);
    if (!say_hello(out)) return 1;
    for (;;) {
        const ssize_t n = read(in, chunk, sizeof chunk);
        if (n == 0) return 0;
        if (n < 0) return 1;
        for (ssize_t k = 0; k < n; k++) {
            if (phantom_receiver_push(&receiver, chunk[k]) && !answer(&receiver, &controller, out)) return 1;
        }
    }
}
