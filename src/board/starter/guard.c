/* Readings, zero of the shunts, protections, direction; see guard.h. */
#include "guard.h"

#define OFFSET_SAMPLES 128u       /* 6.4 ms; leaves 0.2 count of a converter noise of 2 counts */
#define OFFSET_MOST_COUNTS (0.05f * BOARD_RANGE_COUNTS) /* more is a broken amplifier, not an offset */
#define TRIGGER_LEAST 0.03f       /* below it the trigger counts as released */
#define TRIGGER_BEYOND 0.05f      /* of its travel, to either side: further out is a cut wire, not a finger */
#define LOOP_TICKS 8.0f
#define OVER_WINDOW_S 0.01f
#define OVER_HITS 3u
#define HALL_TICKS 2u             /* impossible codes in a row that pass as an edge race */

void guard_reset(motor_guard *g, const guard_settings *set)
{
    memset(g, 0, sizeof *g);
    g->set = set;
    g->state = PHANTOM_STATE_STARTING;
    hall_speed_reset(&g->hall);
}

float guard_speed_rad_s(const motor_guard *g)
{
    return g->hall.speed_rad_s / g->set->pole_pairs;
}

void guard_read(motor_guard *g, const phantom_sense *sense)
{
    const uint16_t counts[3] = {sense->ia, sense->ib, sense->ic};
    const float span = BOARD_TRIGGER_HIGH_COUNTS - BOARD_TRIGGER_LOW_COUNTS;
    const uint8_t code = (uint8_t)((sense->flags >> PHANTOM_SENSE_HALL_SHIFT) & 7u);
    if (sense->flags & PHANTOM_SENSE_BOOT) {
        guard_reset(g, g->set);
        g->last_tick = sense->tick - 1u;
    }
    /* A tick that got lost still took its time; the difference is right across the wrap of the counter. */
    g->elapsed_s = (float)(sense->tick - g->last_tick) * TICK_S;
    g->loop_s = g->elapsed_s < LOOP_TICKS * TICK_S ? g->elapsed_s : LOOP_TICKS * TICK_S;
    g->last_tick = sense->tick;
    hall_speed_update(&g->hall, code, (float)sense->hall_age / PHANTOM_HALL_AGE_COUNTS_PER_S, g->elapsed_s);
    for (int leg = 0; leg < 3; leg++) {
        g->phase_A[leg] = ((float)counts[leg] - g->zero_counts[leg]) * BOARD_CURRENT_PER_COUNT_A;
        if (g->state == PHANTOM_STATE_STARTING) g->offset_sum[leg] += counts[leg];
    }
    g->link_V = (float)sense->link * BOARD_LINK_PER_COUNT_V;
    const float travel = ((float)sense->trigger - BOARD_TRIGGER_LOW_COUNTS) / span;
    g->trigger_valid = travel > -TRIGGER_BEYOND && travel < 1.0f + TRIGGER_BEYOND;
    g->trigger = clampf(travel, 0.0f, 1.0f);
}

static void trip(motor_guard *g, uint8_t reason)
{
    g->state = PHANTOM_STATE_TRIPPED;
    g->trip = reason;
}

/* Gates are off and no current flows: what the shunts read now is their zero. */
static void take_offsets(motor_guard *g)
{
    if (++g->offset_samples < OFFSET_SAMPLES) return;
    g->state = PHANTOM_STATE_READY;
    for (int leg = 0; leg < 3; leg++) {
        g->zero_counts[leg] = (float)g->offset_sum[leg] / (float)OFFSET_SAMPLES;
        if (absf(g->zero_counts[leg] - BOARD_CURRENT_ZERO_COUNTS) > OFFSET_MOST_COUNTS) trip(g, PHANTOM_TRIP_SENSOR);
    }
}

/* Returns 1 when nothing may be driven in this tick. */
static int protect(motor_guard *g)
{
    int over = 0;
    for (int leg = 0; leg < 3; leg++) over |= absf(g->phase_A[leg]) > g->set->over_current_A;

    g->over_since_s += g->elapsed_s;
    if (g->over_since_s > OVER_WINDOW_S) g->over_hits = 0;
    if (over) {
        if (g->over_hits == 0) g->over_since_s = 0.0f;
        if (++g->over_hits >= OVER_HITS) trip(g, PHANTOM_TRIP_CURRENT);
    }
    g->hall_ticks = g->hall.valid ? 0 : (uint8_t)(g->hall_ticks < 255u ? g->hall_ticks + 1u : 255u);
    if (g->link_V > g->set->link_high_V) trip(g, PHANTOM_TRIP_LINK_HIGH);
    if (g->state == PHANTOM_STATE_TRIPPED) return 1;

    g->trip = PHANTOM_TRIP_NONE;
    if (g->link_V < g->set->link_low_V) g->trip = PHANTOM_TRIP_LINK_LOW;
    else if (g->hall_ticks > HALL_TICKS || g->hall.sector < 0) g->trip = PHANTOM_TRIP_HALL;
    else if (!g->trigger_valid) g->trip = PHANTOM_TRIP_SENSOR;
    if (g->trip != PHANTOM_TRIP_NONE) g->state = PHANTOM_STATE_WAITING;
    return over || g->trip != PHANTOM_TRIP_NONE;
}

/*
 * Slow for certain: no edge for as long as a sector takes at that speed. The estimate will not do, because it is 0
 * when an edge was missed.
 */
static int is_slow(const motor_guard *g)
{
    return g->hall.since_s * SLOW_RAD_S * g->set->pole_pairs > HALL_SECTOR_RAD;
}

/* Takes the switch when the motor is slow. Returns 1 when the direction in force is the one that is asked for. */
static int take_direction(motor_guard *g, const phantom_sense *sense)
{
    const int in = (sense->flags & PHANTOM_SENSE_IN) != 0;
    const int out = (sense->flags & PHANTOM_SENSE_OUT) != 0;
    const int8_t asked = (int8_t)(in - out);
    if (asked == 0) return 0;
    if (asked != g->direction && is_slow(g)) g->direction = asked;
    return asked == g->direction;
}

int guard_allows(motor_guard *g, const phantom_sense *sense)
{
    if (g->state == PHANTOM_STATE_STARTING) {
        take_offsets(g);
        return 0;
    }
    if (protect(g)) return 0;
    const int asked = take_direction(g, sense);
    if (g->trigger <= TRIGGER_LEAST || (sense->flags & (PHANTOM_SENSE_IN | PHANTOM_SENSE_OUT)) == 0) {
        g->state = PHANTOM_STATE_READY;
        return 0;
    }
    if (!asked) {
        g->state = PHANTOM_STATE_COASTING; /* the switch was thrown under way: first let the motor run down */
        return 0;
    }
    return 1;
}
