/* Hall six-step control; see six_step.h. */
#include "six_step.h"

#include "starter_motor.h"

#define DUTY_MOST 0.94f           /* leaves the low side of the high leg 3 us: bootstrap and its own sample */
#define ADVANCE_MOST_RAD 0.26f    /* [rad] 15 degrees electrical at top speed, from 30 % of it on: current rise time */
#define EMF_PER_FLUX 1.654f       /* line EMF over (w * flux), mean over the 60 degrees in which a pair is driven */

const six_step_settings six_step_18V = {
    .guard = {
        .over_current_A = BOARD_OVER_CURRENT_A,
        .link_high_V = BOARD_LINK_HIGH_V,
        .link_low_V = BOARD_LINK_LOW_V,
        .pole_pairs = MOTOR_POLE_PAIRS,
    },
    .speed = {
        .current_limit_A = 60.0f,
        .hold_current_A = 20.0f,
        .stall_s = 0.5f,
        .top_speed_rad_s = MOTOR_TOP_SPEED_RAD_S,
        .ramp_s = 0.15f,
        .rotor_kgm2 = MOTOR_ROTOR_KGM2,
        .torque_per_A_Nm = EMF_PER_FLUX * MOTOR_POLE_PAIRS * MOTOR_FLUX_WB,
    },
    .flux_Wb = MOTOR_FLUX_WB,
    .pair_H = 27e-6f,
};

/* For positive torque, by sector: the high leg has the largest EMF, the low leg the smallest. Else they swap. */
static const int8_t high_of_sector[HALL_SECTORS] = {1, 1, 2, 2, 0, 0};
static const int8_t low_of_sector[HALL_SECTORS] = {2, 0, 0, 1, 1, 2};

static const six_step_pair no_pair = {-1, -1, 0.0f};

static void stop_loops(six_step *c)
{
    speed_loop_reset(&c->speed, absf(guard_speed_rad_s(&c->guard)));
    c->current_integral_V = 0.0f;
}

static void reset(six_step *c)
{
    const six_step_settings *set = c->set;
    memset(c, 0, sizeof *c);
    c->set = set;
    c->now = no_pair;
    c->before = no_pair;
    guard_reset(&c->guard, &set->guard);
}

void six_step_init(six_step *c, const six_step_settings *set)
{
    c->set = set;
    reset(c);
}

/*
 * Current of a pair. It leaves the motor through the low leg, whose shunt therefore reads minus; just after the low leg
 * has changed the high leg still carries more, and is believed while its own sample window is open.
 */
static float pair_A(const six_step *c, const six_step_pair *pair)
{
    if (pair->low_leg < 0) return 0.0f;
    const float out_A = -c->guard.phase_A[pair->low_leg];
    const float into_A = c->guard.phase_A[pair->high_leg];
    return pair->duty < DUTY_MOST && into_A > out_A ? into_A : out_A;
}

/* The sampling instant is the border between two commands, so around a commutation either pair may show the current. */
static void measure(six_step *c)
{
    const float before_A = pair_A(c, &c->before);
    const float now_A = pair_A(c, &c->now);
    const int same = c->before.low_leg == c->now.low_leg && c->before.high_leg == c->now.high_leg;
    c->current_A = same || before_A > now_A ? before_A : now_A;
}

/* Current loop: volts across the pair over link voltage. */
static float duty_for(six_step *c)
{
    const six_step_settings *s = c->set;
    const float link_V = c->guard.link_V;
    const float kp = 0.2f * s->pair_H / TICK_S; /* [V/A] a fifth of the dead-beat gain: 1.5 ticks of delay */
    const float ti_s = 0.7e-3f;                 /* [s] some L/R of the pair */
    const float w = c->guard.hall.speed_rad_s * (float)c->guard.direction;
    const float emf_V = EMF_PER_FLUX * s->flux_Wb * w;
    const float error = c->speed.wanted_A - c->current_A;
    const float most_V = DUTY_MOST * link_V;
    const float free_V = emf_V + kp * error + c->current_integral_V;
    if (!(free_V >= most_V && error > 0.0f) && !(free_V <= 0.0f && error < 0.0f)) {
        c->current_integral_V += kp / ti_s * error * c->guard.loop_s;
    }
    c->current_integral_V = clampf(c->current_integral_V, -most_V, most_V);
    c->speed.full = free_V >= most_V;
    return clampf(free_V, 0.0f, most_V) / link_V;
}

/* Chooses the legs for the middle of the period in which the command will be in force, 1.5 ticks from now. */
static void commutate(six_step *c)
{
    const float share = absf(guard_speed_rad_s(&c->guard)) / c->set->speed.top_speed_rad_s;
    const float advance_rad = clampf((share - 0.3f) / 0.7f, 0.0f, 1.0f) * ADVANCE_MOST_RAD;
    const int8_t sector = hall_speed_sector_ahead(&c->guard.hall, 1.5f * TICK_S, advance_rad);
    const int in = c->guard.direction > 0;
    c->now.high_leg = in ? high_of_sector[sector] : low_of_sector[sector];
    c->now.low_leg = in ? low_of_sector[sector] : high_of_sector[sector];
}

static void fill(const six_step *c, const phantom_sense *sense, phantom_drive *drive)
{
    memset(drive, 0, sizeof *drive);
    drive->tick = sense->tick;
    drive->state = c->guard.state;
    drive->trip = c->guard.trip;
    if (c->now.low_leg >= 0) {
        const uint16_t counts = (uint16_t)(c->now.duty * (float)PHANTOM_DUTY_FULL);
        drive->gates = (uint8_t)((1u << c->now.high_leg) | (1u << c->now.low_leg));
        if (c->now.high_leg == 0) drive->duty_a = counts;
        if (c->now.high_leg == 1) drive->duty_b = counts;
        if (c->now.high_leg == 2) drive->duty_c = counts;
    }
    drive->watch_count = 3;
    drive->watch[0] = guard_speed_rad_s(&c->guard);
    drive->watch[1] = c->current_A;
    drive->watch[2] = (float)c->guard.hall.sector;
}

void six_step_tick(six_step *c, const phantom_sense *sense, phantom_drive *drive)
{
    if (sense->flags & PHANTOM_SENSE_BOOT) reset(c);
    guard_read(&c->guard, sense);
    measure(c);
    c->before = c->now;
    if (guard_allows(&c->guard, sense)) {
        speed_loop_step(&c->speed, &c->set->speed, &c->guard);
        c->now.duty = duty_for(c);
        commutate(c);
    } else {
        c->now = no_pair;
        stop_loops(c);
    }
    fill(c, sense, drive);
}
