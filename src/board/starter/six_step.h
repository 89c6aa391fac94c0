/*
 * six_step.h: Hall six-step control of a permanent-magnet motor with a speed loop on the trigger.
 *
 * SCOPE. A complete small drill firmware as pure logic: Sense in, Drive out, once per PWM period. Integers and float32,
 * no I/O, no allocation, no clock, no library but memset. One structure per motor; no global state. C99.
 *
 * METHOD. Two legs carry the current, by sector of the Hall code. The low leg keeps its low side on, so that its shunt
 * always sees the current; the high leg chops, complementary; the third leg is open. Speed loop (PI) gives a current
 * within 0 and the limit, current loop (PI with EMF feed-forward) gives the duty.
 *
 * STATES and trip reasons are the codes PHANTOM_STATE_ and PHANTOM_TRIP_ of phantom_link.h. A trip holds until the
 * next boot, which every press of the trigger brings.
 *
 * The limits are illustrative. Those of a real tool follow from its power stage, and from the product standard.
 */
#ifndef SIX_STEP_H
#define SIX_STEP_H

#include "phantom_link.h"
#include "hall_speed.h"

typedef struct six_step_settings {
    float current_limit_A; /* [A] largest current that the loop asks for */
    float over_current_A;  /* [A] a sample beyond this opens all legs; three within 10 ms trip */
    float hold_current_A;  /* [A] current held after a stall */
    float stall_s;         /* [s] time at the limit without turning that counts as a stall */
    float top_speed_rad_s; /* [rad/s] mechanical, at full trigger */
    float ramp_s;          /* [s] from standstill to top speed */
    float link_high_V;     /* [V] trips above */
    float link_low_V;      /* [V] does not drive below */
    float pole_pairs;      /* of the motor */
    float flux_Wb;         /* [Wb] peak flux that the magnets link with one phase */
    float pair_H;          /* [H] inductance of two phases in series */
    float rotor_kgm2;      /* [kg m2] inertia of the rotor; the speed loop is tuned on it alone */
} six_step_settings;

/* Illustrative settings for an 18 V class motor with 4 pole pairs. */
extern const six_step_settings six_step_18V;

/* Two legs that carry the current; legs are -1 when none does. */
typedef struct six_step_pair {
    int8_t high_leg;
    int8_t low_leg;
    float duty; /* of the high leg */
} six_step_pair;

typedef struct six_step {
    const six_step_settings *set;
    hall_speed hall;
    uint32_t last_tick;
    uint8_t state;           /* PHANTOM_STATE_... */
    uint8_t trip;            /* PHANTOM_TRIP_... */
    int8_t direction;        /* 1 In, -1 Out, 0 none taken yet. */
    uint16_t offset_samples; /* Samples taken for the offsets. */
    uint32_t offset_sum[3];
    float zero_counts[3];    /* [count] measured zero of each shunt. */
    float current_A;         /* [A] current through the pair of legs that was driven when it was sampled. */
    float reference_rad_s;   /* [rad/s] mechanical, ramped */
    float wanted_A;          /* [A] output of the speed loop */
    float speed_integral_A;
    float current_integral_V;
    six_step_pair now;       /* Pair of the latest command; in force from the start of the next period. */
    six_step_pair before;    /* Pair of the command before it: in force up to the sampling instant. */
    float stalled_s;         /* [s] time at the limit without turning */
    float over_since_s;      /* [s] time since the first of the counted over-current samples */
    uint8_t over_hits;
    uint8_t hall_ticks;      /* Ticks with an impossible code in a row. */
} six_step;

/* Prepares a controller. Precondition: set lives as long as c. */
void six_step_init(six_step *c, const six_step_settings *set);

/*
 * One tick: reads *sense, fills every field of *drive, three watch values among them (speed of the motor, current,
 * sector). PHANTOM_SENSE_BOOT makes it forget everything. Preconditions: init was called; the three shunts are fitted.
 * Constant time: no loop depends on data but the mean over six intervals.
 */
void six_step_tick(six_step *c, const phantom_sense *sense, phantom_drive *drive);

#endif /* SIX_STEP_H */
