/*
 * guard.h: what every starter does before it may drive: time, readings, zero of the shunts, protections, direction.
 *
 * SCOPE. Pure logic: no I/O, no clock, no allocation, no library but memset. One structure per motor; no global state.
 *
 * TIME comes from the difference of Sense.tick, which is right across the wrap of the counter and counts ticks that got
 * lost. PHANTOM_SENSE_BOOT makes it forget everything.
 *
 * STATES and trip reasons are the codes PHANTOM_STATE_ and PHANTOM_TRIP_ of phantom_link.h. A trip holds until the next
 * boot, which every press of the trigger brings.
 *
 * The limits are illustrative. Those of a real tool follow from its power stage, and from the product standard.
 */
#ifndef GUARD_H
#define GUARD_H

#include "phantom_link.h"
#include "hall_speed.h"
#include "starter_board.h"

#ifdef __cplusplus
extern "C" {
#endif

#define TICK_S (1.0f / BOARD_PWM_HZ)
#define SLOW_RAD_S 30.0f /* [rad/s] mechanical; below it a new direction is taken, and a stall is one */

typedef struct guard_settings {
    float over_current_A; /* [A] a sample beyond this opens all legs; three within 10 ms trip */
    float link_high_V;    /* [V] trips above */
    float link_low_V;     /* [V] does not drive below */
    float pole_pairs;     /* of the motor */
} guard_settings;

typedef struct motor_guard {
    const guard_settings *set;
    hall_speed hall;
    float phase_A[3];        /* [A] shunt readings, positive into the motor; no word about which can be believed */
    float link_V;            /* [V] */
    float trigger;           /* 0 released to 1 pulled fully */
    uint8_t trigger_valid;   /* 0 while its reading is one that no finger gives */
    float elapsed_s;         /* [s] since the tick before */
    float loop_s;            /* [s] the same for integrals: no more than 8 ticks, which they take without ringing */
    uint8_t state;           /* PHANTOM_STATE_... */
    uint8_t trip;            /* PHANTOM_TRIP_... */
    int8_t direction;        /* 1 In, -1 Out, 0 none taken yet. */
    uint8_t over_hits;       /* Over-current samples counted. */
    uint8_t hall_ticks;      /* Ticks with an impossible code in a row. */
    uint16_t offset_samples; /* Samples taken for the zeros. */
    uint32_t offset_sum[3];
    float zero_counts[3];    /* [count] measured zero of each shunt */
    float over_since_s;      /* [s] since the first of the counted over-current samples */
    uint32_t last_tick;
} motor_guard;

/* Forgets everything. Precondition: set lives as long as g. */
void guard_reset(motor_guard *g, const guard_settings *set);

/* Takes time and readings of one tick. Preconditions: guard_reset was called; three shunts and the Halls are fitted. */
void guard_read(motor_guard *g, const phantom_sense *sense);

/*
 * Decides, after guard_read, whether the motor may be driven in this tick: returns 1 when it may, in g->direction. Else
 * 0, all legs must open, and g->state and g->trip say why.
 */
int guard_allows(motor_guard *g, const phantom_sense *sense);

/* Speed of the motor shaft [rad/s], positive towards rising angle. */
float guard_speed_rad_s(const motor_guard *g);

/* value, or the nearer of lo and hi when it lies outside; lo for what is no number. Precondition: lo <= hi. */
static inline float clampf(float value, float lo, float hi)
{
    if (!(value > lo)) return lo;
    return value > hi ? hi : value;
}

static inline float absf(float value)
{
    return value < 0.0f ? -value : value;
}

#ifdef __cplusplus
}
#endif

#endif /* GUARD_H */
