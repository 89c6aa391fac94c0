/* The starter firmware; see starter.h. */
#include "starter.h"

#include "starter_board.h"

#ifndef STARTER_FIRMWARE
#define STARTER_FIRMWARE "starter, not stamped" /* the Makefile stamps it with a hash of the sources */
#endif

static const phantom_watch six_step_watch[] = {
    {"speed", "rad/s", "motorSpeed"},
    {"pair current", "A", NULL},
    {"sector", "", NULL},
};

static const phantom_watch foc_watch[] = {
    {"speed", "rad/s", "motorSpeed"},
    {"id", "A", "currentD"},
    {"iq", "A", "currentQ"},
    {"iq wanted", "A", NULL},
};

static const phantom_hello common = {
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
};

/* By PHANTOM_TRIP_ code; those above are not used here. */
static const char *const trip_text[] = {
    "",
    "trip: phase current above its limit",
    "trip: link voltage above its limit",
    "waiting: link voltage below its limit",
    "waiting: Hall code that no rotor gives",
    "a shunt or the trigger reads what it cannot",
};

static void tell_trip(starter *s, uint8_t trip)
{
    if (trip != s->trip && trip > 0u && trip < sizeof trip_text / sizeof trip_text[0]) {
        phantom_board_note(&s->board, PHANTOM_NOTE_WARNING, trip_text[trip]);
    }
    s->trip = trip;
}

static void tick(void *self, const phantom_sense *sense, phantom_drive *drive)
{
    starter *s = self;
    if (sense->flags & PHANTOM_SENSE_BOOT && !s->noted) {
        s->noted = 1;
        phantom_board_note(&s->board, PHANTOM_NOTE_PLAIN, s->hello.board);
    }
    if (s->kind == STARTER_FOC) foc_tick(&s->control.field, sense, drive);
    else six_step_tick(&s->control.six, sense, drive);
    tell_trip(s, drive->trip);
}

void starter_init(starter *s, starter_kind kind, const char *uid, phantom_put *put, void *port)
{
    memset(s, 0, sizeof *s);
    s->kind = kind;
    s->hello = common;
    s->hello.uid = uid;
    if (kind == STARTER_FOC) {
        s->hello.board = "field-oriented starter";
        s->hello.watch = foc_watch;
        s->hello.watch_count = sizeof foc_watch / sizeof foc_watch[0];
        foc_init(&s->control.field, &foc_18V);
    } else {
        s->hello.board = "six-step starter";
        s->hello.watch = six_step_watch;
        s->hello.watch_count = sizeof six_step_watch / sizeof six_step_watch[0];
        six_step_init(&s->control.six, &six_step_18V);
    }
    phantom_board_init(&s->board, &s->hello, put, port, tick, s);
}
