/* Speed loop; see speed_loop.h. */
#include "speed_loop.h"

#define LEAD_RAD_S 600.0f         /* [rad/s] most that the reference runs ahead of the speed */
#define SPEED_LOOP_RAD_S 94.0f    /* [rad/s] 15 Hz: calm on the bare rotor and with the backlash of two gears */

void speed_loop_reset(speed_loop *l, float speed_rad_s)
{
    memset(l, 0, sizeof *l);
    l->reference_rad_s = speed_rad_s;
}

static void watch_stall(speed_loop *l, const speed_settings *s, motor_guard *g, float limit_A, float w)
{
    const int stuck = absf(w) < SLOW_RAD_S && l->wanted_A > 0.9f * limit_A;
    l->stalled_s = stuck ? l->stalled_s + g->elapsed_s : 0.0f;
    if (g->state == PHANTOM_STATE_STALLED) {
        if (w > 2.0f * SLOW_RAD_S) g->state = PHANTOM_STATE_RUNNING; /* forward: gears that spring back do not count */
    } else {
        g->state = l->stalled_s > s->stall_s ? PHANTOM_STATE_STALLED : PHANTOM_STATE_RUNNING;
    }
}

void speed_loop_step(speed_loop *l, const speed_settings *s, motor_guard *g)
{
    const float w = guard_speed_rad_s(g) * (float)g->direction;
    const float limit_A = g->state == PHANTOM_STATE_STALLED ? s->hold_current_A : s->current_limit_A;
    const float target = g->trigger * s->top_speed_rad_s;

    float r = l->reference_rad_s + s->top_speed_rad_s / s->ramp_s * g->loop_s;
    r = clampf(r, 0.0f, target);
    l->reference_rad_s = clampf(r, 0.0f, (w > 0.0f ? w : 0.0f) + LEAD_RAD_S);

    const float kp = s->rotor_kgm2 * SPEED_LOOP_RAD_S / s->torque_per_A_Nm;
    const float error = l->reference_rad_s - w;
    const float free_A = kp * error + l->integral_A;
    if (!((free_A >= limit_A || l->full) && error > 0.0f) && !(free_A <= 0.0f && error < 0.0f)) {
        l->integral_A += kp * 0.25f * SPEED_LOOP_RAD_S * error * g->loop_s;
    }
    l->integral_A = clampf(l->integral_A, 0.0f, limit_A);
    l->wanted_A = clampf(kp * error + l->integral_A, 0.0f, limit_A);
    watch_stall(l, s, g, limit_A, w);
}
