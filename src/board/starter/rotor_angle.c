/* Angle from Halls; see rotor_angle.h. */
#include "rotor_angle.h"

#define HALF_PI_F 1.57079633f

float angle_wrap(float rad)
{
    if (rad > PI_F) return rad - 2.0f * PI_F;
    return rad < -PI_F ? rad + 2.0f * PI_F : rad;
}

/* Taylor series to the ninth power, within -pi/2 and pi/2: the next term is (pi/2)^11 / 11! = 3.6e-6. */
static float sine_of_quarter(float x)
{
    const float s = x * x;
    return x * (1.0f - s / 6.0f * (1.0f - s / 20.0f * (1.0f - s / 42.0f * (1.0f - s / 72.0f))));
}

static float sine(float rad)
{
    float x = angle_wrap(rad);
    if (x > HALF_PI_F) x = PI_F - x;
    else if (x < -HALF_PI_F) x = -PI_F - x;
    return sine_of_quarter(x);
}

rotation angle_rotation(float rad)
{
    const float x = angle_wrap(rad);
    rotation r;
    r.sine = sine(x);
    r.cosine = sine(x + HALF_PI_F);
    return r;
}

float rotor_angle(const hall_speed *h)
{
    const float middle = (float)h->sector * HALL_SECTOR_RAD;
    const float turned = h->mean_rad_s * h->since_s;
    if (h->sense == 0 || turned <= 0.0f) return angle_wrap(middle);
    /* From -30 degrees to 30 of the sector; late edges take it back to 0, in proportion to how late they are. */
    const float half = 0.5f * HALL_SECTOR_RAD;
    const float place = turned <= HALL_SECTOR_RAD ? turned - half : half * HALL_SECTOR_RAD / turned;
    return angle_wrap(h->sense > 0 ? middle + place : middle - place);
}
