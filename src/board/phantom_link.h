/*
 * phantom_link.h: the frames between the virtual drill and a motor controller.
 * Made from src/protocol by "npm run protocol"; do not edit, it is compared in every test run.
 *
 * SCOPE. Structures, ids, sizes and byte-level encoders and decoders. No I/O, no allocation, no global state: every
 * function is re-entrant and takes constant time. C99; needs <stdint.h>, <stddef.h> and memcpy from <string.h>.
 *
 * THE EXCHANGE. The drill sends Sense once per PWM period: what the pins of the board would read. The board computes
 * and answers each Sense with exactly one Drive that repeats its tick; what Drive says is in force from the next PWM
 * period on, as with a timer that loads at its update point. The drill waits for the answer. So the board must take
 * every time (speeds, ramps, timeouts) from the tick counter and never from a clock of its own: between two ticks
 * exactly one PWM period of virtual time has passed, however long the answer took.
 *
 * Before the first Sense the board says Hello (a MessagePack map; phantom_hello.h writes it), and again whenever a
 * Greet asks for it.
 *
 * THE WIRE. A packet is: id (1 byte), payload, CRC-16/IBM-3740 over id and payload (low byte first; polynomial
 * 0x1021, start 0xFFFF, not reflected, no final inversion; check value of "123456789" is 0x29B1). On a byte stream a
 * packet is stuffed (COBS) and stands between two 0x00 bytes; phantom_framing.h does that. On a link that keeps
 * message borders it travels as it is. Numbers are little-endian, without gaps.
 *
 * UNITS. Readings are converter counts; Hello tells the drill what one count is worth, so a board keeps its own
 * converter, reference and gains. Each member below states what one count means.
 */
#ifndef PHANTOM_LINK_H
#define PHANTOM_LINK_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

#define PHANTOM_PROTOCOL_VERSION 2u /* what Greet and Hello carry; other versions are refused */
#define PHANTOM_WATCH_MOST 32u /* most watch values in one Drive */
#define PHANTOM_HOST_PAYLOAD_MOST 32u /* [bytes] longest payload that the drill sends */
#define PHANTOM_NOT_FITTED 0xFFFFu /* reading of a sensor that the board does not have */
#define PHANTOM_HALL_AGE_MOST 0xFFFFu /* Hall age that means: this long or longer */
#define PHANTOM_HALL_AGE_COUNTS_PER_S 100000000.0f /* [1/s] counts of hall_age in one second (10 ns each) */
#define PHANTOM_DUTY_FULL 32768u /* duty count of a high side that is on all period */
#define PHANTOM_BUSY_COUNTS_PER_S 10000000.0f /* [1/s] counts of busy in one second (0.1 us each) */
#define PHANTOM_SENSE_HALL_SHIFT 3 /* flags >> this, masked with 7, is Hall A + 2 B + 4 C */

/* ---- Greet ---- Asks the board to say Hello. Sent by the drill. */
#define PHANTOM_GREET_ID 0x01u /* first byte of the packet */
#define PHANTOM_GREET_SIZE 4u /* [bytes] payload */

typedef struct phantom_greet {
    uint16_t version; /* Protocol version of the host. */
} phantom_greet;

/* Writes the payload of Greet. Precondition: out has room for PHANTOM_GREET_SIZE bytes.
 * Returns the number of bytes written; cannot fail. */
static inline size_t phantom_greet_encode(const phantom_greet *m, uint8_t *out)
{
    out[0] = (uint8_t)m->version;
    out[1] = (uint8_t)(m->version >> 8);
    out[2] = 0;
    out[3] = 0;
    return PHANTOM_GREET_SIZE;
}

/* Reads the payload of Greet. Returns 1, or 0 when size is not one of this frame; then *m is as it was. */
static inline int phantom_greet_decode(phantom_greet *m, const uint8_t *in, size_t size)
{
    if (size != PHANTOM_GREET_SIZE) return 0;
    m->version = (uint16_t)(in[0] | (in[1] << 8));
    return 1;
}

/* ---- Sense ---- What the pins of the board would read at the sampling instant of one PWM period. Sent by the drill. */
#define PHANTOM_SENSE_ID 0x10u /* first byte of the packet */
#define PHANTOM_SENSE_SIZE 32u /* [bytes] payload */
/* Bits of flags: */
#define PHANTOM_SENSE_BOOT 0x01u /* first tick after the logic supply came up: forget everything */
#define PHANTOM_SENSE_IN 0x02u /* direction switch at In (screw goes in) */
#define PHANTOM_SENSE_OUT 0x04u /* direction switch at Out; neither In nor Out: switch locked */
#define PHANTOM_SENSE_HALL_A 0x08u /* Hall sensor A: 1 while cos(electrical angle) > 0 */
#define PHANTOM_SENSE_HALL_B 0x10u /* Hall sensor B: the same, 120 degrees later */
#define PHANTOM_SENSE_HALL_C 0x20u /* Hall sensor C: the same, 240 degrees later */

typedef struct phantom_sense {
    uint32_t tick; /* Number of the PWM period since the run began, wraps at 2^32; the virtual clock of the board. */
    uint16_t flags; /* Logic levels. */
    uint16_t ia; /* Shunt of leg A, positive into the motor; 0xFFFF when not fitted. [A] (count - Hello.currentZero_counts) * Hello.currentPerCount_A */
    uint16_t ib; /* Shunt of leg B, positive into the motor; 0xFFFF when not fitted. [A] (count - Hello.currentZero_counts) * Hello.currentPerCount_A */
    uint16_t ic; /* Shunt of leg C, positive into the motor; 0xFFFF when not fitted. [A] (count - Hello.currentZero_counts) * Hello.currentPerCount_A */
    uint16_t link; /* DC link voltage. [V] count * Hello.linkPerCount_V */
    uint16_t trigger; /* Trigger potentiometer. [travel] 0 at Hello.triggerLow_counts, 1 at Hello.triggerHigh_counts */
    uint16_t hall_age; /* Time from the last Hall edge to the sampling instant; 0xFFFF: that or longer. 1 count = 1e-8 s */
    uint16_t heat_bridge; /* Thermistor at the switches; 0xFFFF when not fitted. [share of the reference] count / full scale = R / (R + pull-up); parts ntc... of the board */
    uint16_t heat_motor; /* Thermistor in the winding; 0xFFFF when not fitted. [share of the reference] count / full scale = R / (R + pull-up); parts ntc... of the board */
    uint16_t phase_a; /* Terminal A behind divider and filter; 0xFFFF when not fitted. [V] count, times reference_V / 2^bits * phaseDivider of the board */
    uint16_t phase_b; /* Terminal B behind divider and filter; 0xFFFF when not fitted. [V] count, times reference_V / 2^bits * phaseDivider of the board */
    uint16_t phase_c; /* Terminal C behind divider and filter; 0xFFFF when not fitted. [V] count, times reference_V / 2^bits * phaseDivider of the board */
    uint16_t gyro; /* Rate of the housing about the spindle, positive as a screw goes in; 0xFFFF when not fitted. [rad/s] (count - Hello.currentZero_counts) * gyroPerCount_rad_s of the board */
    uint16_t accel; /* Acceleration of the housing along the tangent, gravity included; 0xFFFF when not fitted. [m/s2] (count - Hello.currentZero_counts) * accelPerCount_m_s2 of the board */
} phantom_sense;

/* Writes the payload of Sense. Precondition: out has room for PHANTOM_SENSE_SIZE bytes.
 * Returns the number of bytes written; cannot fail. */
static inline size_t phantom_sense_encode(const phantom_sense *m, uint8_t *out)
{
    out[0] = (uint8_t)m->tick;
    out[1] = (uint8_t)(m->tick >> 8);
    out[2] = (uint8_t)(m->tick >> 16);
    out[3] = (uint8_t)(m->tick >> 24);
    out[4] = (uint8_t)m->flags;
    out[5] = (uint8_t)(m->flags >> 8);
    out[6] = (uint8_t)m->ia;
    out[7] = (uint8_t)(m->ia >> 8);
    out[8] = (uint8_t)m->ib;
    out[9] = (uint8_t)(m->ib >> 8);
    out[10] = (uint8_t)m->ic;
    out[11] = (uint8_t)(m->ic >> 8);
    out[12] = (uint8_t)m->link;
    out[13] = (uint8_t)(m->link >> 8);
    out[14] = (uint8_t)m->trigger;
    out[15] = (uint8_t)(m->trigger >> 8);
    out[16] = (uint8_t)m->hall_age;
    out[17] = (uint8_t)(m->hall_age >> 8);
    out[18] = (uint8_t)m->heat_bridge;
    out[19] = (uint8_t)(m->heat_bridge >> 8);
    out[20] = (uint8_t)m->heat_motor;
    out[21] = (uint8_t)(m->heat_motor >> 8);
    out[22] = (uint8_t)m->phase_a;
    out[23] = (uint8_t)(m->phase_a >> 8);
    out[24] = (uint8_t)m->phase_b;
    out[25] = (uint8_t)(m->phase_b >> 8);
    out[26] = (uint8_t)m->phase_c;
    out[27] = (uint8_t)(m->phase_c >> 8);
    out[28] = (uint8_t)m->gyro;
    out[29] = (uint8_t)(m->gyro >> 8);
    out[30] = (uint8_t)m->accel;
    out[31] = (uint8_t)(m->accel >> 8);
    return PHANTOM_SENSE_SIZE;
}

/* Reads the payload of Sense. Returns 1, or 0 when size is not one of this frame; then *m is as it was. */
static inline int phantom_sense_decode(phantom_sense *m, const uint8_t *in, size_t size)
{
    if (size != PHANTOM_SENSE_SIZE) return 0;
    m->tick = (uint32_t)in[0] | ((uint32_t)in[1] << 8) | ((uint32_t)in[2] << 16) | ((uint32_t)in[3] << 24);
    m->flags = (uint16_t)(in[4] | (in[5] << 8));
    m->ia = (uint16_t)(in[6] | (in[7] << 8));
    m->ib = (uint16_t)(in[8] | (in[9] << 8));
    m->ic = (uint16_t)(in[10] | (in[11] << 8));
    m->link = (uint16_t)(in[12] | (in[13] << 8));
    m->trigger = (uint16_t)(in[14] | (in[15] << 8));
    m->hall_age = (uint16_t)(in[16] | (in[17] << 8));
    m->heat_bridge = (uint16_t)(in[18] | (in[19] << 8));
    m->heat_motor = (uint16_t)(in[20] | (in[21] << 8));
    m->phase_a = (uint16_t)(in[22] | (in[23] << 8));
    m->phase_b = (uint16_t)(in[24] | (in[25] << 8));
    m->phase_c = (uint16_t)(in[26] | (in[27] << 8));
    m->gyro = (uint16_t)(in[28] | (in[29] << 8));
    m->accel = (uint16_t)(in[30] | (in[31] << 8));
    return 1;
}

/* ---- Drive ---- What the timer of the board would be loaded with; one per Sense, in force from the next PWM period on. Sent by the board. */
#define PHANTOM_DRIVE_ID 0x20u /* first byte of the packet */
#define PHANTOM_DRIVE_SIZE 16u /* [bytes] payload without the watch values */
#define PHANTOM_DRIVE_SIZE_MOST 144u /* [bytes] payload with all watch values */
/* Bits of gates: */
#define PHANTOM_GATE_A 0x01u /* leg A is driven */
#define PHANTOM_GATE_B 0x02u /* leg B is driven */
#define PHANTOM_GATE_C 0x04u /* leg C is driven */
/* Codes of state: */
#define PHANTOM_STATE_STARTING 0u /* measures its offsets, gates off */
#define PHANTOM_STATE_READY 1u /* waits for the trigger, gates off */
#define PHANTOM_STATE_RUNNING 2u /* drives the motor */
#define PHANTOM_STATE_COASTING 3u /* gates off until the motor is slow enough */
#define PHANTOM_STATE_STALLED 4u /* has seen a stall and has cut or lowered the torque */
#define PHANTOM_STATE_WAITING 5u /* gates off until supply or sensors are healthy again */
#define PHANTOM_STATE_TRIPPED 6u /* a protection holds the gates off; see trip */
#define PHANTOM_STATE_BRAKING 7u /* brakes the motor */
/* Codes of trip: */
#define PHANTOM_TRIP_NONE 0u /* nothing tripped */
#define PHANTOM_TRIP_CURRENT 1u /* phase current above its limit */
#define PHANTOM_TRIP_LINK_HIGH 2u /* link voltage above its limit */
#define PHANTOM_TRIP_LINK_LOW 3u /* link voltage below its limit */
#define PHANTOM_TRIP_HALL 4u /* Hall code that cannot be */
#define PHANTOM_TRIP_SENSOR 5u /* offset or reading of a converter channel out of range */
#define PHANTOM_TRIP_LOCK 6u /* angle estimate lost */
#define PHANTOM_TRIP_STALL 7u /* stalled for too long */
#define PHANTOM_TRIP_HEAT 8u /* winding or power stage too hot */
#define PHANTOM_TRIP_SPEED 9u /* speed above its limit */

typedef struct phantom_drive {
    uint32_t tick; /* Tick of the Sense frame that this one answers. */
    uint8_t gates; /* Legs that are driven (complementary); a leg that is not driven has both switches off. */
    uint8_t state; /* What the board is doing; 128 to 255 are the own codes of a board. */
    uint8_t trip; /* Why a protection acted; 128 to 255 are the own codes of a board. */
    uint16_t duty_a; /* High side of leg A; larger than 32768 is clamped. 1 count = 0.000030517578125 period */
    uint16_t duty_b; /* High side of leg B; larger than 32768 is clamped. 1 count = 0.000030517578125 period */
    uint16_t duty_c; /* High side of leg C; larger than 32768 is clamped. 1 count = 0.000030517578125 period */
    uint16_t busy; /* Time the processor spent on this tick, 0 when not measured. 1 count = 1e-7 s */
    uint8_t watch_count; /* Number of watch values sent; the same as in Hello. Not on the wire. */
    float watch[PHANTOM_WATCH_MOST]; /* Values named in Hello.watch, in that order and in the units given there. */
} phantom_drive;

/* Writes the payload of Drive. Precondition: out has room for PHANTOM_DRIVE_SIZE_MOST bytes.
 * Returns the number of bytes written; cannot fail. A watch_count above PHANTOM_WATCH_MOST counts as that. */
static inline size_t phantom_drive_encode(const phantom_drive *m, uint8_t *out)
{
    size_t o = 16;
    out[0] = (uint8_t)m->tick;
    out[1] = (uint8_t)(m->tick >> 8);
    out[2] = (uint8_t)(m->tick >> 16);
    out[3] = (uint8_t)(m->tick >> 24);
    out[4] = (uint8_t)m->gates;
    out[5] = (uint8_t)m->state;
    out[6] = (uint8_t)m->trip;
    out[7] = 0;
    out[8] = (uint8_t)m->duty_a;
    out[9] = (uint8_t)(m->duty_a >> 8);
    out[10] = (uint8_t)m->duty_b;
    out[11] = (uint8_t)(m->duty_b >> 8);
    out[12] = (uint8_t)m->duty_c;
    out[13] = (uint8_t)(m->duty_c >> 8);
    out[14] = (uint8_t)m->busy;
    out[15] = (uint8_t)(m->busy >> 8);
    const uint8_t count = m->watch_count > PHANTOM_WATCH_MOST ? (uint8_t)PHANTOM_WATCH_MOST : m->watch_count;
    for (uint8_t k = 0; k < count; k++) {
        uint32_t bits;
        memcpy(&bits, &m->watch[k], sizeof bits); /* float is IEEE 754 binary32 */
        out[o++] = (uint8_t)(bits);
        out[o++] = (uint8_t)(bits >> 8);
        out[o++] = (uint8_t)(bits >> 16);
        out[o++] = (uint8_t)(bits >> 24);
    }
    return o;
}

/* Reads the payload of Drive. Returns 1, or 0 when size is not one of this frame; then *m is as it was. */
static inline int phantom_drive_decode(phantom_drive *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_DRIVE_SIZE || size > PHANTOM_DRIVE_SIZE_MOST || (size - PHANTOM_DRIVE_SIZE) % 4u != 0u) return 0;
    m->tick = (uint32_t)in[0] | ((uint32_t)in[1] << 8) | ((uint32_t)in[2] << 16) | ((uint32_t)in[3] << 24);
    m->gates = in[4];
    m->state = in[5];
    m->trip = in[6];
    m->duty_a = (uint16_t)(in[8] | (in[9] << 8));
    m->duty_b = (uint16_t)(in[10] | (in[11] << 8));
    m->duty_c = (uint16_t)(in[12] | (in[13] << 8));
    m->busy = (uint16_t)(in[14] | (in[15] << 8));
    m->watch_count = (uint8_t)((size - 16u) / 4u);
    for (uint8_t k = 0; k < m->watch_count; k++) {
        const uint8_t *p = in + 16 + 4 * k;
        const uint32_t bits =
            (uint32_t)p[0] | ((uint32_t)p[1] << 8) | ((uint32_t)p[2] << 16) | ((uint32_t)p[3] << 24);
        memcpy(&m->watch[k], &bits, sizeof bits);
    }
    return 1;
}

/* ---- Hello ---- What the board says about itself: a MessagePack map with all of these keys. Sent by the board. */
#define PHANTOM_HELLO_ID 0x02u /* first byte of the packet */
#define PHANTOM_KEY_VERSION "version" /* protocol version of the board; at least 1; at most 65535 */
#define PHANTOM_KEY_BOARD "board" /* which board or program this is; characters at most 63 */
#define PHANTOM_KEY_FIRMWARE "firmware" /* which build of the firmware this is, e.g. a hash; characters at most 63 */
#define PHANTOM_KEY_PWM_HZ "pwm_Hz" /* [Hz] PWM frequency; at least 1000; at most 200000 */
#define PHANTOM_KEY_SHUNTS "shunts" /* legs that have a shunt; one of abc, ab, bc, ac */
#define PHANTOM_KEY_CURRENT_PER_COUNT_A "currentPerCount_A" /* [A] phase current of one count; above 0; at most 100 */
#define PHANTOM_KEY_CURRENT_ZERO_COUNTS "currentZero_counts" /* [count] reading of a shunt at zero current; at least 0; at most 65535 */
#define PHANTOM_KEY_LINK_PER_COUNT_V "linkPerCount_V" /* [V] link voltage of one count; above 0; at most 10 */
#define PHANTOM_KEY_TRIGGER_LOW_COUNTS "triggerLow_counts" /* [count] trigger reading when released; at least 0; at most 65535 */
#define PHANTOM_KEY_TRIGGER_HIGH_COUNTS "triggerHigh_counts" /* [count] trigger reading when pulled fully; at least 0; at most 65535 */
#define PHANTOM_KEY_HALLS "halls" /* whether the board has Hall sensors */
#define PHANTOM_KEY_VIRTUAL_TICK "virtualTick" /* whether the board takes all its time from the tick of Sense */
#define PHANTOM_KEY_WATCH "watch" /* values that ride in every Drive frame; entries at most 32 */
/* Keys of each entry of watch: */
#define PHANTOM_KEY_WATCH_NAME "name" /* name, unique on this board; characters at most 31 */
#define PHANTOM_KEY_WATCH_UNIT "unit" /* unit as printed, empty when there is none; characters at most 15 */
#define PHANTOM_KEY_WATCH_SIGNAL "signal" /* id of the bench signal that it estimates, when there is one (may be left out); characters at most 31 */

#endif /* PHANTOM_LINK_H */
