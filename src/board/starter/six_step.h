/*
 * six_step.h: Hall six-step control of a permanent-magnet motor with a speed loop on the trigger.
 *
 * SCOPE. A complete small drill firmware as pure logic: Sense in, Drive out, once per PWM period. Integers and float32,
 * no I/O, no allocation, no clock, no library but memset. One structure per motor; no global state. C99.
 *
 * METHOD. Two legs carry the current, by sector of the Hall code. The low leg keeps its low side on, so that its shunt
 * always sees the current; the high leg chops, complementary; the third leg is open. guard.h says whether to drive,
 * speed_loop.h how much current; the current loop (PI with EMF feed-forward) gives the duty.
 */
#ifndef SIX_STEP_H
#define SIX_STEP_H

#include "guard.h"
#include "speed_loop.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct six_step_settings {
    guard_settings guard;
    speed_settings speed;
    float flux_Wb; /* [Wb] peak flux that the magnets link with one phase */
    float pair_H;  /* [H] inductance of two phases in series */
} six_step_settings;

/* Illustrative settings for the motor of starter_motor.h. */
extern const six_step_settings six_step_18V;

/* Two legs that carry the current; legs are -1 when none does. */
typedef struct six_step_pair {
    int8_t high_leg;
    int8_t low_leg;
    float duty; /* of the high leg */
} six_step_pair;

typedef struct six_step {
    const six_step_settings *set;
    motor_guard guard;
    speed_loop speed;
    float current_A;         /* [A] current through the pair of legs that was driven when it was sampled. */
    float current_integral_V;
    six_step_pair now;       /* Pair of the latest command; in force from the start of the next period. */
    six_step_pair before;    /* Pair of the command before it: in force up to the sampling instant. */
} six_step;

/* Prepares a controller. Precondition: set lives as long as c. */
void six_step_init(six_step *c, const six_step_settings *set);

/*
 * One tick: reads *sense, fills every field of *drive, three watch values among them (speed of the motor, current,
 * sector). PHANTOM_SENSE_BOOT makes it forget everything. Preconditions: init was called; the three shunts are fitted.
 * Constant time: no loop depends on data but the mean over six intervals.
 */
void six_step_tick(six_step *c, const phantom_sense *sense, phantom_drive *drive);

#ifdef __cplusplus
}
#endif

#endif /* SIX_STEP_H */
