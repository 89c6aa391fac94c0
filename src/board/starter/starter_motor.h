/*
 * starter_motor.h: the motor that the starter is tuned for: 18 V class, 4 pole pairs, illustrative. Replace these numbers
 * with those of your motor; what only one of the controllers asks for stands in its own settings.
 */
#ifndef STARTER_MOTOR_H
#define STARTER_MOTOR_H

#define MOTOR_POLE_PAIRS 4.0f
#define MOTOR_FLUX_WB 1.15e-3f        /* [Wb] peak flux that the magnets link with one phase */
#define MOTOR_ROTOR_KGM2 3.3e-6f      /* [kg m2] inertia of the rotor alone */
#define MOTOR_TOP_SPEED_RAD_S 2200.0f /* [rad/s] mechanical, at full trigger */

#endif /* STARTER_MOTOR_H */
