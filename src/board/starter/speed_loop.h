/*
 * speed_loop.h: from the trigger to a current: ramped speed reference, PI loop, stall.
 *
 * SCOPE. Pure logic, as guard.h.
 *
 * METHOD. Proportional and integral, tuned on the inertia of the rotor; the output lies within 0 and the limit, so it
 * never brakes. The integral does not grow while the output is at its limit or the voltage is used up, and does not
 * fall while the output is 0. The reference does not run ahead of the speed by more than 600 rad/s. At the limit
 * without turning for stall_s the state is PHANTOM_STATE_STALLED and the limit falls to hold_current_A, until the motor
 * turns again.
 */
#ifndef SPEED_LOOP_H
#define SPEED_LOOP_H

#include "guard.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct speed_settings {
    float current_limit_A; /* [A] largest current that the loop asks for */
    float hold_current_A;  /* [A] current held after a stall */
    float stall_s;         /* [s] time at the limit without turning that counts as a stall */
    float top_speed_rad_s; /* [rad/s] mechanical, at full trigger */
    float ramp_s;          /* [s] from standstill to top speed */
    float rotor_kgm2;      /* [kg m2] inertia of the rotor; the loop is tuned on it alone */
    float torque_per_A_Nm; /* [N m] torque of one ampere as this controller counts them */
} speed_settings;

typedef struct speed_loop {
    float reference_rad_s; /* [rad/s] mechanical, ramped, in the direction asked for */
    float integral_A;
    float wanted_A;        /* [A] output, 0 to the limit */
    float stalled_s;       /* [s] time at the limit without turning */
    uint8_t full;          /* 1: the current loop has used up its voltage; set by it after each tick. */
} speed_loop;

/* Starts from the speed that is there, without a current. speed_rad_s: magnitude. */
void speed_loop_reset(speed_loop *l, float speed_rad_s);

/*
 * One tick of driving: sets l->wanted_A, and g->state to running or stalled. Precondition: guard_allows returned 1 in
 * this tick.
 */
void speed_loop_step(speed_loop *l, const speed_settings *set, motor_guard *g);

#ifdef __cplusplus
}
#endif

#endif /* SPEED_LOOP_H */
