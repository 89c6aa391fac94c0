/* Hall six-step control; see six_step.h. */
#include "six_step.h"

#include "starter_board.h"

#define TICK_S (1.0f / BOARD_PWM_HZ)
#define OFFSET_SAMPLES 128u       /* 6.4 ms; leaves 0.2 count of a converter noise of 2 counts */
#define OFFSET_MOST_COUNTS (0.05f * BOARD_RANGE_COUNTS) /* more is a broken amplifier, not an offset */
#define DUTY_MOST 0.94f           /* leaves the low side of the high leg 3 us: bootstrap and its own sample */
#define TRIGGER_LEAST 0.03f       /* below it the trigger counts as released */
#define SLOW_RAD_S 30.0f          /* [rad/s] mechanical; below it a new direction is taken, and a stall is one */
#define LEAD_RAD_S 600.0f         /* [rad/s] most that the reference runs ahead of the speed */
#define SPEED_LOOP_RAD_S 94.0f    /* [rad/s] 15 Hz: calm on the bare rotor and with the backlash of two gears */
#define ADVANCE_MOST_RAD 0.26f    /* [rad] 15 degrees electrical at top speed, from 30 % of it on: current rise time */
#define OVER_WINDOW_S 0.01f
#define OVER_HITS 3u
#define HALL_TICKS 2u             /* impossible codes in a row that pass as an edge race */
#define EMF_PER_FLUX 1.654f       /* line EMF over (w * flux), mean over the 60 degrees in which a pair is driven */

const six_step_settings six_step_18V = {
    .current_limit_A = 60.0f,
    .over_current_A = 120.0f,
    .hold_current_A = 20.0f,
    .stall_s = 0.5f,
    .top_speed_rad_s = 2200.0f,
    .ramp_s = 0.15f,
    .link_high_V = 25.0f,
    .link_low_V = 8.0f,
    .pole_pairs = 4.0f,
    .flux_Wb = 1.15e-3f,
    .pair_H = 27e-6f,
    .rotor_kgm2 = 3.3e-6f,
};

/* For positive torque, by sector: the high leg has the largest EMF, the low leg the smallest. Else they swap. */
static const int8_t high_of_sector[HALL_SECTORS] = {1, 1, 2, 2, 0, 0};
static const int8_t low_of_sector[HALL_SECTORS] = {2, 0, 0, 1, 1, 2};

static const six_step_pair no_pair = {-1, -1, 0.0f};

static float clampf(float value, float lo, float hi)
{
    if (value < lo) return lo;
    return value > hi ? hi : value;
}

static float absf(float value)
{
    return value < 0.0f ? -value : value;
}

static uint16_t shunt_counts(const phantom_sense *sense, int leg)
{
    if (leg == 0) return sense->ia;
    return leg == 1 ? sense->ib : sense->ic;
}

static float shunt_A(const six_step *c, const phantom_sense *sense, int leg)
{
    return ((float)shunt_counts(sense, leg) - c->zero_counts[leg]) * BOARD_CURRENT_PER_COUNT_A;
}

static float speed_rad_s(const six_step *c)
{
    return c->hall.speed_rad_s / c->set->pole_pairs;
}

static void reset(six_step *c)
{
    const six_step_settings *set = c->set;
    memset(c, 0, sizeof *c);
    c->set = set;
    c->now = no_pair;
    c->before = no_pair;
    c->state = PHANTOM_STATE_STARTING;
    hall_speed_reset(&c->hall);
}

void six_step_init(six_step *c, const six_step_settings *set)
{
    c->set = set;
    reset(c);
}

static void stop_loops(six_step *c)
{
    c->reference_rad_s = absf(speed_rad_s(c));
    c->wanted_A = 0.0f;
    c->speed_integral_A = 0.0f;
    c->current_integral_V = 0.0f;
    c->stalled_s = 0.0f;
}

static void trip(six_step *c, uint8_t reason)
{
    c->state = PHANTOM_STATE_TRIPPED;
    c->trip = reason;
}

/* Gates are off and no current flows: what the shunts read now is their zero. */
static void take_offsets(six_step *c, const phantom_sense *sense)
{
    for (int leg = 0; leg < 3; leg++) c->offset_sum[leg] += shunt_counts(sense, leg);
    if (++c->offset_samples < OFFSET_SAMPLES) return;
    c->state = PHANTOM_STATE_READY;
    for (int leg = 0; leg < 3; leg++) {
        c->zero_counts[leg] = (float)c->offset_sum[leg] / (float)OFFSET_SAMPLES;
        if (absf(c->zero_counts[leg] - BOARD_CURRENT_ZERO_COUNTS) > OFFSET_MOST_COUNTS) trip(c, PHANTOM_TRIP_SENSOR);
    }
}

/*
 * Current of a pair. It leaves the motor through the low leg, whose shunt therefore reads minus; just after the low leg
 * has changed the high leg still carries more, and is believed while its own sample window is open.
 */
static float pair_A(const six_step *c, const phantom_sense *sense, const six_step_pair *pair)
{
    if (pair->low_leg < 0) return 0.0f;
    const float out_A = -shunt_A(c, sense, pair->low_leg);
    const float into_A = shunt_A(c, sense, pair->high_leg);
    return pair->duty < DUTY_MOST && into_A > out_A ? into_A : out_A;
}

/* The sampling instant is the border between two commands, so around a commutation either pair may show the current. */
static void measure(six_step *c, const phantom_sense *sense)
{
    const float before_A = pair_A(c, sense, &c->before);
    const float now_A = pair_A(c, sense, &c->now);
    const int same = c->before.low_leg == c->now.low_leg && c->before.high_leg == c->now.high_leg;
    c->current_A = same || before_A > now_A ? before_A : now_A;
}

/* Returns 1 when nothing may be driven in this tick. */
static int protect(six_step *c, const phantom_sense *sense, float elapsed_s)
{
    const float link_V = (float)sense->link * BOARD_LINK_PER_COUNT_V;
    int over = 0;
    for (int leg = 0; leg < 3; leg++) over |= absf(shunt_A(c, sense, leg)) > c->set->over_current_A;

    c->over_since_s += elapsed_s;
    if (c->over_since_s > OVER_WINDOW_S) c->over_hits = 0;
    if (over) {
        if (c->over_hits == 0) c->over_since_s = 0.0f;
        if (++c->over_hits >= OVER_HITS) trip(c, PHANTOM_TRIP_CURRENT);
    }
    c->hall_ticks = c->hall.valid ? 0 : (uint8_t)(c->hall_ticks < 255u ? c->hall_ticks + 1u : 255u);
    if (link_V > c->set->link_high_V) trip(c, PHANTOM_TRIP_LINK_HIGH);
    if (c->state == PHANTOM_STATE_TRIPPED) return 1;

    c->trip = PHANTOM_TRIP_NONE;
    if (link_V < c->set->link_low_V) c->trip = PHANTOM_TRIP_LINK_LOW;
    else if (c->hall_ticks > HALL_TICKS || c->hall.sector < 0) c->trip = PHANTOM_TRIP_HALL;
    if (c->trip != PHANTOM_TRIP_NONE) c->state = PHANTOM_STATE_WAITING;
    return over || c->trip != PHANTOM_TRIP_NONE;
}

/*
 * Slow for certain: no edge for as long as a sector takes at that speed. The estimate will not do, because it is 0
 * when an edge was missed.
 */
static int is_slow(const six_step *c)
{
    return c->hall.since_s * SLOW_RAD_S * c->set->pole_pairs > HALL_SECTOR_RAD;
}

/* Takes the switch when the motor is slow. Returns 1 when the direction in force is the one that is asked for. */
static int take_direction(six_step *c, const phantom_sense *sense)
{
    const int8_t asked = (int8_t)((sense->flags & PHANTOM_SENSE_IN ? 1 : 0) - (sense->flags & PHANTOM_SENSE_OUT ? 1 : 0));
    if (asked == 0) return 0;
    if (asked != c->direction && is_slow(c)) c->direction = asked;
    return asked == c->direction;
}

/* Speed loop; speeds count positive in the direction asked for. */
static void wanted_current(six_step *c, float trigger, float elapsed_s)
{
    const six_step_settings *s = c->set;
    const float w = speed_rad_s(c) * (float)c->direction;
    const float limit_A = c->state == PHANTOM_STATE_STALLED ? s->hold_current_A : s->current_limit_A;
    const float target = trigger * s->top_speed_rad_s;

    float r = c->reference_rad_s + s->top_speed_rad_s / s->ramp_s * elapsed_s;
    r = clampf(r, 0.0f, target);
    c->reference_rad_s = clampf(r, 0.0f, (w > 0.0f ? w : 0.0f) + LEAD_RAD_S);

    const float torque_per_A = EMF_PER_FLUX * s->pole_pairs * s->flux_Wb;
    const float kp = s->rotor_kgm2 * SPEED_LOOP_RAD_S / torque_per_A;
    const float error = c->reference_rad_s - w;
    const float free_A = kp * error + c->speed_integral_A;
    /* The integral stands still while the output is at a limit that the error pushes against. */
    if (!(free_A >= limit_A && error > 0.0f) && !(free_A <= 0.0f && error < 0.0f)) {
        c->speed_integral_A += kp * 0.25f * SPEED_LOOP_RAD_S * error * elapsed_s;
    }
    c->speed_integral_A = clampf(c->speed_integral_A, 0.0f, limit_A);
    c->wanted_A = clampf(kp * error + c->speed_integral_A, 0.0f, limit_A);

    const int stuck = absf(w) < SLOW_RAD_S && c->wanted_A > 0.9f * limit_A;
    c->stalled_s = stuck ? c->stalled_s + elapsed_s : 0.0f;
    if (c->state == PHANTOM_STATE_STALLED) {
        if (w > 2.0f * SLOW_RAD_S) c->state = PHANTOM_STATE_RUNNING; /* forward: gears that spring back do not count */
    } else {
        c->state = c->stalled_s > s->stall_s ? PHANTOM_STATE_STALLED : PHANTOM_STATE_RUNNING;
    }
}

/* Current loop: volts across the pair over link voltage. */
static float duty_for(six_step *c, float link_V, float elapsed_s)
{
    const six_step_settings *s = c->set;
    const float kp = 0.2f * s->pair_H / TICK_S; /* [V/A] a fifth of the dead-beat gain: 1.5 ticks of delay */
    const float ti_s = 0.7e-3f;                 /* [s] some L/R of the pair */
    const float w = c->hall.speed_rad_s * (float)c->direction;
    const float emf_V = EMF_PER_FLUX * s->flux_Wb * w;
    const float error = c->wanted_A - c->current_A;
    const float most_V = DUTY_MOST * link_V;
    const float free_V = emf_V + kp * error + c->current_integral_V;
    if (!(free_V >= most_V && error > 0.0f) && !(free_V <= 0.0f && error < 0.0f)) {
        c->current_integral_V += kp / ti_s * error * elapsed_s;
    }
    c->current_integral_V = clampf(c->current_integral_V, -most_V, most_V);
    return clampf(free_V, 0.0f, most_V) / link_V;
}

/* Chooses the legs for the middle of the period in which the command will be in force, 1.5 ticks from now. */
static void commutate(six_step *c)
{
    const float share = absf(speed_rad_s(c)) / c->set->top_speed_rad_s;
    const float advance_rad = clampf((share - 0.3f) / 0.7f, 0.0f, 1.0f) * ADVANCE_MOST_RAD;
    const int8_t sector = hall_speed_sector_ahead(&c->hall, 1.5f * TICK_S, advance_rad);
    c->now.high_leg = c->direction > 0 ? high_of_sector[sector] : low_of_sector[sector];
    c->now.low_leg = c->direction > 0 ? low_of_sector[sector] : high_of_sector[sector];
}

static void fill(const six_step *c, const phantom_sense *sense, phantom_drive *drive)
{
    memset(drive, 0, sizeof *drive);
    drive->tick = sense->tick;
    drive->state = c->state;
    drive->trip = c->trip;
    if (c->now.low_leg >= 0) {
        const uint16_t counts = (uint16_t)(c->now.duty * (float)PHANTOM_DUTY_FULL);
        drive->gates = (uint8_t)((1u << c->now.high_leg) | (1u << c->now.low_leg));
        if (c->now.high_leg == 0) drive->duty_a = counts;
        if (c->now.high_leg == 1) drive->duty_b = counts;
        if (c->now.high_leg == 2) drive->duty_c = counts;
    }
    drive->watch_count = 3;
    drive->watch[0] = speed_rad_s(c);
    drive->watch[1] = c->current_A;
    drive->watch[2] = (float)c->hall.sector;
}

/* Decides whether to drive; returns 1 when it does. */
static int decide(six_step *c, const phantom_sense *sense, float trigger, float elapsed_s)
{
    if (c->state == PHANTOM_STATE_STARTING) {
        take_offsets(c, sense);
        return 0;
    }
    if (protect(c, sense, elapsed_s)) return 0;
    const int asked = take_direction(c, sense);
    if (trigger <= TRIGGER_LEAST || (sense->flags & (PHANTOM_SENSE_IN | PHANTOM_SENSE_OUT)) == 0) {
        c->state = PHANTOM_STATE_READY;
        return 0;
    }
    if (!asked) {
        c->state = PHANTOM_STATE_COASTING; /* the switch was thrown under way: first let the motor run down */
        return 0;
    }
    return 1;
}

void six_step_tick(six_step *c, const phantom_sense *sense, phantom_drive *drive)
{
    if (sense->flags & PHANTOM_SENSE_BOOT) {
        reset(c);
        c->last_tick = sense->tick - 1u;
    }
    /* A tick that got lost still took its time; the difference is right across the wrap of the counter. */
    const float elapsed_s = (float)(sense->tick - c->last_tick) * TICK_S;
    c->last_tick = sense->tick;
    const uint8_t code = (uint8_t)((sense->flags >> PHANTOM_SENSE_HALL_SHIFT) & 7u);
    hall_speed_update(&c->hall, code, (float)sense->hall_age / PHANTOM_HALL_AGE_COUNTS_PER_S, elapsed_s);
    measure(c, sense);

    const float span = BOARD_TRIGGER_HIGH_COUNTS - BOARD_TRIGGER_LOW_COUNTS;
    const float trigger = clampf(((float)sense->trigger - BOARD_TRIGGER_LOW_COUNTS) / span, 0.0f, 1.0f);
    c->before = c->now;
    if (decide(c, sense, trigger, elapsed_s)) {
        wanted_current(c, trigger, elapsed_s);
        c->now.duty = duty_for(c, (float)sense->link * BOARD_LINK_PER_COUNT_V, elapsed_s);
        commutate(c);
    } else {
        c->now = no_pair;
        stop_loops(c);
    }
    fill(c, sense, drive);
}
