/* Field-oriented control with Halls; see foc.h. */
#include "foc.h"

#include "starter_motor.h"

#define DUTY_MOST 0.94f    /* leaves each low side 3 us: bootstrap, and room for a sample */
#define WINDOW_DUTY 0.9f   /* above it a low side is too short for dead time, settling and sample on either side */
#define PER_ROOT_3 0.577350269f
#define ROOT_3_HALF 0.866025404f
#define D_SHARE 0.5f       /* most of the voltage that the d axis takes */
#define DELAY_TICKS 1.5f   /* from the sample to the middle of the period in which its answer is in force */

const foc_settings foc_18V = {
    .guard = {
        .over_current_A = BOARD_OVER_CURRENT_A,
        .link_high_V = BOARD_LINK_HIGH_V,
        .link_low_V = BOARD_LINK_LOW_V,
        .pole_pairs = MOTOR_POLE_PAIRS,
    },
    .speed = {
        .current_limit_A = 66.0f,
        .hold_current_A = 22.0f,
        .stall_s = 0.5f,
        .top_speed_rad_s = MOTOR_TOP_SPEED_RAD_S,
        .ramp_s = 0.15f,
        .rotor_kgm2 = MOTOR_ROTOR_KGM2,
        .torque_per_A_Nm = 1.5f * MOTOR_POLE_PAIRS * MOTOR_FLUX_WB,
    },
    .flux_Wb = MOTOR_FLUX_WB,
    .ld_H = 12e-6f,
    .lq_H = 15e-6f,
    .gain = 0.15f,
    .integral_s = 0.7e-3f,
};

static void reset(foc *c)
{
    const foc_settings *set = c->set;
    memset(c, 0, sizeof *c);
    c->set = set;
    guard_reset(&c->guard, &set->guard);
}

void foc_init(foc *c, const foc_settings *set)
{
    c->set = set;
    reset(c);
}

/*
 * Currents in the rotor frame. The sample lies on the border of two periods, so the larger duty of both decides which
 * shunt had no window; that leg follows from the other two. With three windows, what the readings have in common is
 * none of the motor, whose currents have no other way.
 */
static void measure(foc *c, rotation at)
{
    float i[3];
    float largest = WINDOW_DUTY;
    int blind = -1;
    for (int leg = 0; leg < 3; leg++) {
        const float duty = c->duty[leg] > c->duty_before[leg] ? c->duty[leg] : c->duty_before[leg];
        i[leg] = c->guard.phase_A[leg];
        if (duty > largest) {
            largest = duty;
            blind = leg;
        }
    }
    if (blind >= 0) i[blind] = -(i[(blind + 1) % 3] + i[(blind + 2) % 3]);
    const float alpha = (2.0f * i[0] - i[1] - i[2]) / 3.0f;
    const float beta = (i[1] - i[2]) * PER_ROOT_3;
    c->d_A = at.cosine * alpha + at.sine * beta;
    c->q_A = at.cosine * beta - at.sine * alpha;
}

/*
 * Duties for a voltage in the stator frame, which the caller keeps within DUTY_MOST of the link over root 3. Around the
 * middle of the link; at high voltage further down, as far as the windows of the shunts ask for.
 */
static void modulate(foc *c, float alpha_V, float beta_V)
{
    const float link_V = c->guard.link_V;
    float v[3];
    v[0] = alpha_V;
    v[1] = ROOT_3_HALF * beta_V - 0.5f * alpha_V;
    v[2] = -ROOT_3_HALF * beta_V - 0.5f * alpha_V;
    float low = v[0];
    float high = v[0];
    for (int leg = 1; leg < 3; leg++) {
        if (v[leg] < low) low = v[leg];
        if (v[leg] > high) high = v[leg];
    }
    const float around_V = 0.5f * link_V - 0.5f * (low + high);
    const float below_V = DUTY_MOST * link_V - high;
    const float offset_V = around_V < below_V ? around_V : below_V;
    for (int leg = 0; leg < 3; leg++) c->duty[leg] = clampf((v[leg] + offset_V) / link_V, 0.0f, DUTY_MOST);
}

/*
 * Current loops: from currents wanted and measured to duties. The d axis has first call on the voltage: with too little
 * of it there its current would strengthen the magnet, and with it the voltage that is missing. q gets the rest,
 * sqrt(most^2 - d^2), by its series.
 */
static void current_loops(foc *c, float theta)
{
    const foc_settings *s = c->set;
    const float w = c->guard.hall.speed_rad_s;
    const float kp_d = s->gain * s->ld_H / TICK_S;
    const float kp_q = s->gain * s->lq_H / TICK_S;
    const float error_d = -c->d_A;
    const float error_q = c->wanted_q_A - c->q_A;
    const float free_d_V = kp_d * error_d + c->integral_d_V - w * s->lq_H * c->q_A;
    const float free_q_V = kp_q * error_q + c->integral_q_V + w * (s->ld_H * c->d_A + s->flux_Wb);

    const float most_V = DUTY_MOST * PER_ROOT_3 * c->guard.link_V;
    const float d_V = clampf(free_d_V, -D_SHARE * most_V, D_SHARE * most_V);
    const float x = d_V * d_V / (most_V * most_V);
    const float most_q_V = most_V * (1.0f - x * (0.5f + x * 0.125f));
    const float q_V = clampf(free_q_V, -most_q_V, most_q_V);
    const rotation ahead = angle_rotation(angle_wrap(theta + DELAY_TICKS * TICK_S * w));
    modulate(c, ahead.cosine * d_V - ahead.sine * q_V, ahead.sine * d_V + ahead.cosine * q_V);

    c->speed.full = free_q_V != q_V;

    /* What was not made counts against the integral as an error does, so it settles where the voltage just ends. */
    const float part = c->guard.loop_s / s->integral_s;
    c->integral_d_V += part * (kp_d * error_d - (free_d_V - d_V));
    c->integral_q_V += part * (kp_q * error_q - (free_q_V - q_V));
}

static void stop(foc *c)
{
    speed_loop_reset(&c->speed, absf(guard_speed_rad_s(&c->guard)));
    c->wanted_q_A = 0.0f;
    c->integral_d_V = 0.0f;
    c->integral_q_V = 0.0f;
    for (int leg = 0; leg < 3; leg++) c->duty[leg] = 0.0f;
    c->driven = 0;
}

static uint16_t counts_of(float duty)
{
    return (uint16_t)(duty * (float)PHANTOM_DUTY_FULL + 0.5f);
}

static void fill(const foc *c, const phantom_sense *sense, phantom_drive *drive)
{
    memset(drive, 0, sizeof *drive);
    drive->tick = sense->tick;
    drive->state = c->guard.state;
    drive->trip = c->guard.trip;
    if (c->driven) {
        drive->gates = PHANTOM_GATE_A | PHANTOM_GATE_B | PHANTOM_GATE_C;
        drive->duty_a = counts_of(c->duty[0]);
        drive->duty_b = counts_of(c->duty[1]);
        drive->duty_c = counts_of(c->duty[2]);
    }
    drive->watch_count = 4;
    drive->watch[0] = guard_speed_rad_s(&c->guard);
    drive->watch[1] = c->d_A;
    drive->watch[2] = c->q_A;
    drive->watch[3] = c->wanted_q_A;
}

void foc_tick(foc *c, const phantom_sense *sense, phantom_drive *drive)
{
    if (sense->flags & PHANTOM_SENSE_BOOT) reset(c);
    guard_read(&c->guard, sense);
    const float theta = c->guard.hall.sector < 0 ? 0.0f : rotor_angle(&c->guard.hall);
    measure(c, angle_rotation(theta));
    for (int leg = 0; leg < 3; leg++) c->duty_before[leg] = c->duty[leg];
    if (guard_allows(&c->guard, sense)) {
        speed_loop_step(&c->speed, &c->set->speed, &c->guard);
        c->wanted_q_A = c->speed.wanted_A * (float)c->guard.direction;
        current_loops(c, theta);
        c->driven = 1;
    } else {
        stop(c);
    }
    fill(c, sense, drive);
}
