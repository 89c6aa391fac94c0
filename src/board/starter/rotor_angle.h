/*
 * rotor_angle.h: electrical angle between the edges of the Halls, and sines without a math library.
 *
 * ANGLE. At an edge the rotor stands on the border of a sector, which is known to the width of the edge. From there the
 * angle goes on at the speed of the last turn, as far as the next border. When that edge is late the rotor has slowed
 * down, and the angle falls back to the middle of the sector: the best guess without a speed, 30 degrees off at most.
 *
 * Pure functions, float32, re-entrant.
 *
 * SOURCE. Plain kinematics; sine: its Taylor series.
 */
#ifndef ROTOR_ANGLE_H
#define ROTOR_ANGLE_H

#include "hall_speed.h"

#ifdef __cplusplus
extern "C" {
#endif

#define PI_F 3.14159265f

/* Angle of a vector by its sine and cosine. */
typedef struct rotation {
    float sine;
    float cosine;
} rotation;

/* The same angle within -pi and pi. Precondition: rad lies within -3 pi and 3 pi. */
float angle_wrap(float rad);

/* Sine and cosine of an angle within -3 pi and 3 pi; off by 4e-6 at most. */
rotation angle_rotation(float rad);

/*
 * Electrical angle at the sampling instant that was given to hall_speed_update last, from -pi to pi; 0 is where the
 * magnet stands on the axis of phase A. Precondition: h->sector is not -1.
 */
float rotor_angle(const hall_speed *h);

#ifdef __cplusplus
}
#endif

#endif /* ROTOR_ANGLE_H */
