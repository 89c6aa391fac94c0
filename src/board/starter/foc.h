/*
 * foc.h: field-oriented control of a permanent-magnet motor with Halls, and a speed loop on the trigger.
 *
 * SCOPE. A complete small drill firmware as pure logic: Sense in, Drive out, once per PWM period. Integers and float32,
 * no I/O, no allocation, no clock, no library but memset. One structure per motor; no global state. C99.
 *
 * METHOD. The angle goes on between the edges of the Halls (rotor_angle.h). Currents into the rotor frame (Clarke,
 * amplitude-invariant; Park); one PI loop an axis, with the voltages of the rotating frame and of the magnets fed
 * forward; back with the angle that the rotor will have in the middle of the period in which the command is in force,
 * 1.5 ticks from now: at 20 000 rpm and 4 pole pairs that is 36 degrees. Space vectors: the mean of the largest and the
 * smallest phase voltage is taken off all three, and no duty exceeds 0.94, so that the shunts keep a window. When the
 * link does not suffice, the q voltage is cut, and the loops take back what was not made; the d axis gets no current,
 * so the field is not weakened, and at full trigger the speed ends where the voltage does. Dead time is left to the
 * loops. guard.h says whether to drive, speed_loop.h how much current.
 *
 * SOURCES. Textbook equations, after D. G. Holmes, T. A. Lipo, "Pulse Width Modulation for Power Converters", 2003, and
 * S.-K. Sul, "Control of Electric Machine Drive Systems", 2011 (both from memory); delay: B.-H. Bae, S.-K. Sul, "A
 * compensation method for time delay of full-digital synchronous frame current regulator of PWM AC drives", IEEE Trans.
 * Ind. Appl. 39(3), 2003 (bibliography read).
 */
#ifndef FOC_H
#define FOC_H

#include "guard.h"
#include "rotor_angle.h"
#include "speed_loop.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct foc_settings {
    guard_settings guard;
    speed_settings speed;
    float flux_Wb;    /* [Wb] peak flux that the magnets link with one phase */
    float ld_H;       /* [H] inductance of a phase along the magnet */
    float lq_H;       /* [H] and across it */
    float gain;       /* share of the dead-beat gain L / tick; 1.5 ticks of delay stand 0.25 without ringing */
    float integral_s; /* [s] time of the integral; some L/R */
} foc_settings;

/* Illustrative settings for the motor of starter_motor.h. */
extern const foc_settings foc_18V;

typedef struct foc {
    const foc_settings *set;
    motor_guard guard;
    speed_loop speed;
    float d_A;           /* [A] measured, along the magnet */
    float q_A;           /* [A] measured, across it: makes torque, positive towards rising angle */
    float wanted_q_A;    /* [A] what the q loop was asked for */
    float integral_d_V;
    float integral_q_V;
    float duty[3];       /* Duties of the latest command; in force from the start of the next period. */
    float duty_before[3];/* Duties of the command before it: in force up to the sampling instant. */
    uint8_t driven;      /* 1 while the latest command drives all legs. */
} foc;

/* Prepares a controller. Precondition: set lives as long as c. */
void foc_init(foc *c, const foc_settings *set);

/*
 * One tick: reads *sense, fills every field of *drive, four watch values among them (speed of the motor, d and q
 * current, q current wanted). PHANTOM_SENSE_BOOT makes it forget everything. Preconditions: init was called; the three
 * shunts and the Halls are fitted. Constant time: no loop depends on data but the mean over six intervals.
 */
void foc_tick(foc *c, const phantom_sense *sense, phantom_drive *drive);

#ifdef __cplusplus
}
#endif

#endif /* FOC_H */
