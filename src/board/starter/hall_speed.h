/*
 * hall_speed.h: sector and speed of the rotor from Hall codes and the age of the last edge.
 *
 * Halls sit on the phase axes: sensor x reads 1 while cos(theta - x * 120 deg) > 0, so that the code changes every
 * 60 degrees electrical, at 30 + 60 k. Sector 0 spans -30 to 30 degrees, sector 1 spans 30 to 90, and so on.
 *
 * Pure logic; no clock: time is the tick of Sense. One structure per motor, no global state.
 */
#ifndef HALL_SPEED_H
#define HALL_SPEED_H

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define HALL_SECTORS 6
#define HALL_SECTOR_RAD 1.04719755f /* [rad] 60 degrees electrical */

typedef struct hall_speed {
    int8_t sector;      /* 0 to 5; -1 before the first valid code. */
    int8_t sense;       /* Sense of the last edge: 1 towards rising angle, -1 falling, 0 not known. */
    int8_t valid;       /* 0 while the code is 000 or 111, which no rotor angle gives. */
    float since_s;      /* [s] Time since the last edge, up to 0.1 s. */
    float speed_rad_s;  /* [rad/s] Electrical speed, signed; falls with the time since the last edge. */
    float mean_rad_s;   /* [rad/s] Magnitude at the last edge. */
    float interval_s[HALL_SECTORS]; /* [s] Times between the last edges, a ring. */
    uint8_t newest;
    uint8_t count;
} hall_speed;

/* Forgets everything. */
void hall_speed_reset(hall_speed *h);

/*
 * Takes the Hall code of one tick. elapsed_s: time since the tick before; age_s: time from the last edge to this
 * sampling instant, used only when the code changed. Cannot fail; an impossible code leaves the sector as it was.
 */
void hall_speed_update(hall_speed *h, uint8_t code, float age_s, float elapsed_s);

/*
 * Sector in which the rotor will be `ahead_s` from now, moved on by `advance_rad`; at low speed the present one.
 * Returns 0 to 5. Precondition: sector is not -1.
 */
int8_t hall_speed_sector_ahead(const hall_speed *h, float ahead_s, float advance_rad);

#ifdef __cplusplus
}
#endif

#endif /* HALL_SPEED_H */
