/*
 * phantom_link.h: the frames between the virtual drill and a motor controller.
 * Made from src/protocol by "npm run protocol"; do not edit, it is compared in every test run. PROTOCOL.md beside it
 * tells the same as a page to read.
 *
 * SCOPE. Structures, ids, sizes and byte-level encoders and decoders. No I/O, no allocation, no global state: every
 * function is re-entrant and takes constant time. C99; needs <stdint.h>, <stddef.h> and memcpy from <string.h>.
 *
 * THE EXCHANGE. The drill sends Sense at every update point, once or twice a PWM period (Hello.updates): what the pins
 * of the board would read. The board computes and answers each Sense with exactly one Drive that repeats its tick; what
 * Drive says is in force from the next update point on, as with a timer that is loaded there. The drill waits for the
 * answer. So the board must take every time (speeds, ramps, timeouts) from the tick counter and never from a clock of
 * its own: from one tick to the next the same virtual time has passed, however long the answer took.
 *
 * Before the first Sense the board says Hello (a MessagePack map; phantom_hello.h writes it), and again whenever a
 * Greet asks for it. The drill answers Welcome when it fits, else Refuse with the reason. Power tells that the logic
 * supply goes and comes with the trigger; a Beat that asks is sent back at once with BEAT_ANSWER; Bye ends the link.
 * Note carries text to the person at the drill.
 *
 * OLDER AND NEWER. A frame of an unknown id is dropped and counted; of a frame that is longer than known here the known
 * part is read. That is how an older board meets a newer drill. Reserved bytes are sent as 0.
 *
 * THE WIRE. A packet is: id (1 byte), payload, CRC-16/IBM-3740 over id and payload (low byte first; polynomial
 * 0x1021, start 0xFFFF, not reflected, no final inversion; check value of "123456789" is 0x29B1). On a byte stream a
 * packet is stuffed (COBS) and stands between two 0x00 bytes; phantom_framing.h does that. On a link that keeps
 * message borders it travels as it is. Numbers are little-endian, without gaps.
 *
 * UNITS. Readings are converter counts; Hello tells the drill what one count is worth, so a board keeps its own
 * converter, reference and gains. Each member below states what one count means; [A] alone: the value is in that unit.
 */
#ifndef PHANTOM_LINK_H
#define PHANTOM_LINK_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

#define PHANTOM_PROTOCOL_VERSION 3u /* what Greet and Hello carry; other versions are refused */
#define PHANTOM_WATCH_MOST 32u /* most watch values in one Drive or Report */
#define PHANTOM_HOST_PAYLOAD_MOST 204u /* [bytes] longest payload that any drill sends */
#define PHANTOM_TEXT_MOST 200u /* [bytes] longest text of a Note or Refuse */
#define PHANTOM_CREDITS_MOST 64u /* most frames that may be unanswered */
#define PHANTOM_NOT_FITTED 0xFFFFu /* reading of a sensor that the board does not have */
#define PHANTOM_HALL_AGE_MOST 0xFFFFu /* Hall age that means: this long or longer */
#define PHANTOM_HALL_AGE_COUNTS_PER_S 100000000.0f /* [1/s] counts of hall_age in one second */
#define PHANTOM_DUTY_FULL 32768u /* duty count of a high side that is on all period */
#define PHANTOM_BUSY_COUNTS_PER_S 10000000.0f /* [1/s] counts of busy in one second */
#define PHANTOM_SENSE_HALL_SHIFT 3 /* flags >> this, masked with 7, is Hall A + 2 B + 4 C */

/* Four bytes, the low one first. */
static inline uint32_t phantom_u32_at(const uint8_t *p)
{
    return (uint32_t)p[0] | ((uint32_t)p[1] << 8) | ((uint32_t)p[2] << 16) | ((uint32_t)p[3] << 24);
}

/* ---- Greet ---- Asks the board to say Hello. Sent by the drill. */
#define PHANTOM_GREET_ID 0x01u /* first byte of the packet */
#define PHANTOM_GREET_SIZE 4u /* [bytes] payload */

typedef struct phantom_greet {
    uint16_t version; /* Protocol version of the host. */
} phantom_greet;

/* Writes the payload of Greet. Precondition: out has room for PHANTOM_GREET_SIZE bytes. Returns the number
 * of bytes written; cannot fail. */
static inline size_t phantom_greet_encode(const phantom_greet *m, uint8_t *out)
{
    out[0] = (uint8_t)m->version;
    out[1] = (uint8_t)(m->version >> 8);
    out[2] = 0; /* reserved */
    out[3] = 0; /* reserved */
    return PHANTOM_GREET_SIZE;
}

/* Reads the payload of Greet. Returns 1, or 0 when size is not one of this frame; then *m is as it was.
 * Bytes behind the last member come from a newer sender and are not read. */
static inline int phantom_greet_decode(phantom_greet *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_GREET_SIZE) return 0;
    m->version = (uint16_t)(in[0] | (in[1] << 8));
    return 1;
}

/* ---- Welcome ---- The Hello was read and fits: what follows, and at which pace. Asks for no answer. Sent
 * by the drill. */
#define PHANTOM_WELCOME_ID 0x03u /* first byte of the packet */
#define PHANTOM_WELCOME_SIZE 12u /* [bytes] payload */
/* Codes of coupling: */
#define PHANTOM_COUPLING_LOCK_STEP 1u /* the drill waits for the Drive to each Sense */
#define PHANTOM_COUPLING_RATE_SPLIT 2u /* Scene and Report in wall time; the board closes its fast loops */
#define PHANTOM_COUPLING_EXAMINE 3u /* no drill: frames of an examination or a bring-up follow */

typedef struct phantom_welcome {
    uint16_t version; /* Protocol version of the host. */
    uint8_t coupling; /* How the board is tied to the drill. */
    uint8_t credits; /* Frames that the drill may have unanswered, 1 to 64; 1 in lock-step. */
    uint32_t tick; /* Virtual time from one Sense or Scene to the next. 1 count = 1e-9 s */
    uint16_t patience; /* Wall time after which an answer is given up. 1 count = 0.001 s */
} phantom_welcome;

/* Writes the payload of Welcome. Precondition: out has room for PHANTOM_WELCOME_SIZE bytes. Returns the
 * number of bytes written; cannot fail. */
static inline size_t phantom_welcome_encode(const phantom_welcome *m, uint8_t *out)
{
    out[0] = (uint8_t)m->version;
    out[1] = (uint8_t)(m->version >> 8);
    out[2] = (uint8_t)m->coupling;
    out[3] = (uint8_t)m->credits;
    out[4] = (uint8_t)m->tick;
    out[5] = (uint8_t)(m->tick >> 8);
    out[6] = (uint8_t)(m->tick >> 16);
    out[7] = (uint8_t)(m->tick >> 24);
    out[8] = (uint8_t)m->patience;
    out[9] = (uint8_t)(m->patience >> 8);
    out[10] = 0; /* reserved */
    out[11] = 0; /* reserved */
    return PHANTOM_WELCOME_SIZE;
}

/* Reads the payload of Welcome. Returns 1, or 0 when size is not one of this frame; then *m is as it was.
 * Bytes behind the last member come from a newer sender and are not read. */
static inline int phantom_welcome_decode(phantom_welcome *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_WELCOME_SIZE) return 0;
    m->version = (uint16_t)(in[0] | (in[1] << 8));
    m->coupling = in[2];
    m->credits = in[3];
    m->tick = phantom_u32_at(in + 4);
    m->patience = (uint16_t)(in[8] | (in[9] << 8));
    return 1;
}

/* ---- Refuse ---- The Hello was read and cannot be used; nothing else follows until the next Greet. Sent
 * by the drill. */
#define PHANTOM_REFUSE_ID 0x04u /* first byte of the packet */
#define PHANTOM_REFUSE_SIZE 4u /* [bytes] payload without text */
#define PHANTOM_REFUSE_SIZE_MOST 204u /* [bytes] longest payload */
/* Codes of reason: */
#define PHANTOM_REFUSE_VERSION 1u /* the host speaks another version */
#define PHANTOM_REFUSE_HELLO 2u /* the Hello does not follow its schema */
#define PHANTOM_REFUSE_MISFIT 3u /* the board does not fit the drill */
#define PHANTOM_REFUSE_BUSY 4u /* the drill is in use */

typedef struct phantom_refuse {
    uint16_t version; /* Protocol version of the host. */
    uint8_t reason; /* Why. */
    uint8_t text_count; /* [bytes] Length of the text. Not on the wire. */
    char text[201]; /* The reason in words, English. Closed with a 0 when it was decoded. */
} phantom_refuse;

/* Writes the payload of Refuse. Precondition: out has room for PHANTOM_REFUSE_SIZE_MOST bytes. Returns the
 * number of bytes written; cannot fail. A text_count above its limit counts as that. */
static inline size_t phantom_refuse_encode(const phantom_refuse *m, uint8_t *out)
{
    size_t o = 4;
    out[0] = (uint8_t)m->version;
    out[1] = (uint8_t)(m->version >> 8);
    out[2] = (uint8_t)m->reason;
    out[3] = 0; /* reserved */
    const uint8_t count = m->text_count > 200u ? 200u : m->text_count;
    memcpy(out + o, m->text, count);
    o += count;
    return o;
}

/* Reads the payload of Refuse. Returns 1, or 0 when size is not one of this frame; then *m is as it was. */
static inline int phantom_refuse_decode(phantom_refuse *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_REFUSE_SIZE || size > PHANTOM_REFUSE_SIZE_MOST) return 0;
    m->version = (uint16_t)(in[0] | (in[1] << 8));
    m->reason = in[2];
    m->text_count = (uint8_t)(size - 4u);
    memcpy(m->text, in + 4, m->text_count);
    m->text[m->text_count] = 0;
    return 1;
}

/* ---- Sense ---- What the pins of the board would read at the sampling instant before one update point.
 * Sent by the drill. */
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
    /* Number of the update point since the run began, one or two a PWM period (Hello.updates), wraps at
     * 2^32; the virtual clock of the board. */
    uint32_t tick;
    uint16_t flags; /* Logic levels. */
    /* Shunt of leg A, positive into the motor; 0xFFFF when not fitted.
     * [A] (count - Hello.currentZero_counts) * Hello.currentPerCount_A */
    uint16_t ia;
    /* Shunt of leg B, positive into the motor; 0xFFFF when not fitted.
     * [A] (count - Hello.currentZero_counts) * Hello.currentPerCount_A */
    uint16_t ib;
    /* Shunt of leg C, positive into the motor; 0xFFFF when not fitted.
     * [A] (count - Hello.currentZero_counts) * Hello.currentPerCount_A */
    uint16_t ic;
    uint16_t link; /* DC link voltage. [V] count * Hello.linkPerCount_V */
    /* Trigger potentiometer.
     * [travel] 0 at Hello.triggerLow_counts, 1 at Hello.triggerHigh_counts */
    uint16_t trigger;
    /* Time from the last Hall edge to the sampling instant; 0xFFFF: that or longer.
     * 1 count = 1e-8 s */
    uint16_t hall_age;
    /* Thermistor at the switches; 0xFFFF when not fitted.
     * [share of the reference] count / 2^Hello.bits = R / (R + pull-up); Hello.ntc... */
    uint16_t heat_bridge;
    /* Thermistor in the winding; 0xFFFF when not fitted.
     * [share of the reference] count / 2^Hello.bits = R / (R + pull-up); Hello.ntc... */
    uint16_t heat_motor;
    /* Terminal A behind divider and filter; 0xFFFF when not fitted.
     * [V] count * Hello.phasePerCount_V */
    uint16_t phase_a;
    /* Terminal B behind divider and filter; 0xFFFF when not fitted.
     * [V] count * Hello.phasePerCount_V */
    uint16_t phase_b;
    /* Terminal C behind divider and filter; 0xFFFF when not fitted.
     * [V] count * Hello.phasePerCount_V */
    uint16_t phase_c;
    /* Rate of the housing about the spindle, positive as a screw goes in; 0xFFFF when not fitted.
     * [rad/s] (count - Hello.currentZero_counts) * Hello.gyroPerCount_rad_s */
    uint16_t gyro;
    /* Acceleration of the housing along the tangent, gravity included; 0xFFFF when not fitted.
     * [m/s2] (count - Hello.currentZero_counts) * Hello.accelPerCount_m_s2 */
    uint16_t accel;
} phantom_sense;

/* Writes the payload of Sense. Precondition: out has room for PHANTOM_SENSE_SIZE bytes. Returns the number
 * of bytes written; cannot fail. */
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

/* Reads the payload of Sense. Returns 1, or 0 when size is not one of this frame; then *m is as it was.
 * Bytes behind the last member come from a newer sender and are not read. */
static inline int phantom_sense_decode(phantom_sense *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_SENSE_SIZE) return 0;
    m->tick = phantom_u32_at(in + 0);
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

/* ---- Drive ---- What the timer of the board would be loaded with; one per Sense, in force from the next
 * update point on. Sent by the board. */
#define PHANTOM_DRIVE_ID 0x20u /* first byte of the packet */
#define PHANTOM_DRIVE_SIZE 16u /* [bytes] payload without watch */
#define PHANTOM_DRIVE_SIZE_MOST 144u /* [bytes] longest payload */
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
    /* Legs that are driven, complementary: duty 0 is low all period, 32768 high all period; a leg that is
     * not driven has both switches off. */
    uint8_t gates;
    uint8_t state; /* What the board is doing; 128 to 255 are the own codes of a board. */
    uint8_t trip; /* Why a protection acted; 128 to 255 are the own codes of a board. */
    uint16_t duty_a; /* High side of leg A; larger than 32768 is clamped. 1 count = 1/32768 period */
    uint16_t duty_b; /* High side of leg B; larger than 32768 is clamped. 1 count = 1/32768 period */
    uint16_t duty_c; /* High side of leg C; larger than 32768 is clamped. 1 count = 1/32768 period */
    uint16_t busy; /* Time the processor spent on this tick, 0 when not measured. 1 count = 1e-7 s */
    uint8_t watch_count; /* Values in use; as many as in Hello. Not on the wire. */
    float watch[32]; /* Values named in Hello.watch, in that order and in the units given there. */
} phantom_drive;

/* Writes the payload of Drive. Precondition: out has room for PHANTOM_DRIVE_SIZE_MOST bytes. Returns the
 * number of bytes written; cannot fail. A watch_count above its limit counts as that. */
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
    out[7] = 0; /* reserved */
    out[8] = (uint8_t)m->duty_a;
    out[9] = (uint8_t)(m->duty_a >> 8);
    out[10] = (uint8_t)m->duty_b;
    out[11] = (uint8_t)(m->duty_b >> 8);
    out[12] = (uint8_t)m->duty_c;
    out[13] = (uint8_t)(m->duty_c >> 8);
    out[14] = (uint8_t)m->busy;
    out[15] = (uint8_t)(m->busy >> 8);
    const uint8_t count = m->watch_count > 32u ? 32u : m->watch_count;
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
    if (size < PHANTOM_DRIVE_SIZE || size > PHANTOM_DRIVE_SIZE_MOST) return 0;
    if ((size - PHANTOM_DRIVE_SIZE) % 4u != 0u) return 0;
    m->tick = phantom_u32_at(in + 0);
    m->gates = in[4];
    m->state = in[5];
    m->trip = in[6];
    m->duty_a = (uint16_t)(in[8] | (in[9] << 8));
    m->duty_b = (uint16_t)(in[10] | (in[11] << 8));
    m->duty_c = (uint16_t)(in[12] | (in[13] << 8));
    m->busy = (uint16_t)(in[14] | (in[15] << 8));
    m->watch_count = (uint8_t)((size - 16u) / 4u);
    for (uint8_t k = 0; k < m->watch_count; k++) {
        const uint32_t bits = phantom_u32_at(in + 16 + 4 * k);
        memcpy(&m->watch[k], &bits, sizeof bits);
    }
    return 1;
}

/* ---- Power ---- The logic supply comes or goes, with the contact of the trigger or a brown-out. Asks for
 * no answer. Sent by the drill. */
#define PHANTOM_POWER_ID 0x11u /* first byte of the packet */
#define PHANTOM_POWER_SIZE 8u /* [bytes] payload */
/* Bits of levels: */
#define PHANTOM_POWER_ON 0x01u /* the supply is up: the Sense that follows carries SENSE_BOOT */

typedef struct phantom_power {
    uint32_t tick; /* Tick at which it happens. */
    uint8_t levels; /* Supply; without it no Sense comes, and the board does as if it were off. */
} phantom_power;

/* Writes the payload of Power. Precondition: out has room for PHANTOM_POWER_SIZE bytes. Returns the number
 * of bytes written; cannot fail. */
static inline size_t phantom_power_encode(const phantom_power *m, uint8_t *out)
{
    out[0] = (uint8_t)m->tick;
    out[1] = (uint8_t)(m->tick >> 8);
    out[2] = (uint8_t)(m->tick >> 16);
    out[3] = (uint8_t)(m->tick >> 24);
    out[4] = (uint8_t)m->levels;
    out[5] = 0; /* reserved */
    out[6] = 0; /* reserved */
    out[7] = 0; /* reserved */
    return PHANTOM_POWER_SIZE;
}

/* Reads the payload of Power. Returns 1, or 0 when size is not one of this frame; then *m is as it was.
 * Bytes behind the last member come from a newer sender and are not read. */
static inline int phantom_power_decode(phantom_power *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_POWER_SIZE) return 0;
    m->tick = phantom_u32_at(in + 0);
    m->levels = in[4];
    return 1;
}

/* ---- Scene ---- What lies around the motor, for the interval that begins now. Sent by the drill. */
#define PHANTOM_SCENE_ID 0x13u /* first byte of the packet */
#define PHANTOM_SCENE_SIZE 40u /* [bytes] payload */
/* Bits of levels: */
#define PHANTOM_SCENE_POWER 0x01u /* the trigger contact is closed and the supply is up */
#define PHANTOM_SCENE_IN 0x02u /* direction switch at In */
#define PHANTOM_SCENE_OUT 0x04u /* direction switch at Out; neither: locked */

typedef struct phantom_scene {
    uint16_t number; /* Counts up by one, wraps; a gap is a lost frame. */
    uint8_t levels; /* Logic levels. */
    uint8_t gear; /* Gear that is engaged: 1 or 2, 0 in neutral. */
    uint32_t clock; /* Time of the drill at the start of the interval, wraps. 1 count = 0.000001 s */
    uint16_t trigger; /* Trigger. [travel] 0 at Hello.triggerLow_counts, 1 at Hello.triggerHigh_counts */
    float open; /* Pack behind its resistance; the link of the board is open - source * current. [V] */
    float source; /* Resistance of pack and wiring. [ohm] */
    /* Dry torque at the motor shaft: opposes turning up to this, and holds a shaft that stands.
     * [N m] */
    float hold;
    float push; /* Torque at the motor shaft beside it, positive in the sense In turns. [N m] */
    float inertia; /* What turns with the shaft beyond the rotor, seen from the shaft. [kg m2] */
    float winding; /* Temperature of the winding. [K] */
    float bridge; /* Temperature of the switches. [K] */
} phantom_scene;

/* Writes the payload of Scene. Precondition: out has room for PHANTOM_SCENE_SIZE bytes. Returns the number
 * of bytes written; cannot fail. */
static inline size_t phantom_scene_encode(const phantom_scene *m, uint8_t *out)
{
    out[0] = (uint8_t)m->number;
    out[1] = (uint8_t)(m->number >> 8);
    out[2] = (uint8_t)m->levels;
    out[3] = (uint8_t)m->gear;
    out[4] = (uint8_t)m->clock;
    out[5] = (uint8_t)(m->clock >> 8);
    out[6] = (uint8_t)(m->clock >> 16);
    out[7] = (uint8_t)(m->clock >> 24);
    out[8] = (uint8_t)m->trigger;
    out[9] = (uint8_t)(m->trigger >> 8);
    out[10] = 0; /* reserved */
    out[11] = 0; /* reserved */
    {
        uint32_t bits;
        memcpy(&bits, &m->open, sizeof bits); /* float is IEEE 754 binary32 */
        out[12] = (uint8_t)bits;
        out[13] = (uint8_t)(bits >> 8);
        out[14] = (uint8_t)(bits >> 16);
        out[15] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->source, sizeof bits); /* float is IEEE 754 binary32 */
        out[16] = (uint8_t)bits;
        out[17] = (uint8_t)(bits >> 8);
        out[18] = (uint8_t)(bits >> 16);
        out[19] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->hold, sizeof bits); /* float is IEEE 754 binary32 */
        out[20] = (uint8_t)bits;
        out[21] = (uint8_t)(bits >> 8);
        out[22] = (uint8_t)(bits >> 16);
        out[23] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->push, sizeof bits); /* float is IEEE 754 binary32 */
        out[24] = (uint8_t)bits;
        out[25] = (uint8_t)(bits >> 8);
        out[26] = (uint8_t)(bits >> 16);
        out[27] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->inertia, sizeof bits); /* float is IEEE 754 binary32 */
        out[28] = (uint8_t)bits;
        out[29] = (uint8_t)(bits >> 8);
        out[30] = (uint8_t)(bits >> 16);
        out[31] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->winding, sizeof bits); /* float is IEEE 754 binary32 */
        out[32] = (uint8_t)bits;
        out[33] = (uint8_t)(bits >> 8);
        out[34] = (uint8_t)(bits >> 16);
        out[35] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->bridge, sizeof bits); /* float is IEEE 754 binary32 */
        out[36] = (uint8_t)bits;
        out[37] = (uint8_t)(bits >> 8);
        out[38] = (uint8_t)(bits >> 16);
        out[39] = (uint8_t)(bits >> 24);
    }
    return PHANTOM_SCENE_SIZE;
}

/* Reads the payload of Scene. Returns 1, or 0 when size is not one of this frame; then *m is as it was.
 * Bytes behind the last member come from a newer sender and are not read. */
static inline int phantom_scene_decode(phantom_scene *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_SCENE_SIZE) return 0;
    m->number = (uint16_t)(in[0] | (in[1] << 8));
    m->levels = in[2];
    m->gear = in[3];
    m->clock = phantom_u32_at(in + 4);
    m->trigger = (uint16_t)(in[8] | (in[9] << 8));
    {
        const uint32_t bits = phantom_u32_at(in + 12);
        memcpy(&m->open, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 16);
        memcpy(&m->source, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 20);
        memcpy(&m->hold, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 24);
        memcpy(&m->push, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 28);
        memcpy(&m->inertia, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 32);
        memcpy(&m->winding, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 36);
        memcpy(&m->bridge, &bits, sizeof bits);
    }
    return 1;
}

/* ---- Report ---- What the motor did in the interval of a Scene; one per Scene. Sent by the board. */
#define PHANTOM_REPORT_ID 0x24u /* first byte of the packet */
#define PHANTOM_REPORT_SIZE 28u /* [bytes] payload without watch */
#define PHANTOM_REPORT_SIZE_MOST 156u /* [bytes] longest payload */
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

typedef struct phantom_report {
    uint16_t number; /* Number of the Scene that it answers. */
    uint8_t state; /* What the board is doing; 128 to 255 are the own codes of a board. */
    uint8_t trip; /* Why a protection acted; 128 to 255 are the own codes of a board. */
    uint32_t angle; /* Angle of the motor shaft since power-up, wraps. 1 count = 2 pi/65536 rad */
    float speed; /* Of the motor shaft, positive as the screw goes in. [rad/s] */
    float torque; /* Mean torque at the shaft that went into hold, push and inertia. [N m] */
    float drawn; /* Mean current from the pack, negative when braking. [A] */
    float loss; /* Mean heat in the winding. [W] */
    /* Time the processor spent on one period of its fast loop, 0: not measured.
     * 1 count = 1e-7 s */
    uint16_t busy;
    uint8_t watch_count; /* Values in use; as many as in Hello. Not on the wire. */
    float watch[32]; /* Values named in Hello.watch, in that order and in the units given there. */
} phantom_report;

/* Writes the payload of Report. Precondition: out has room for PHANTOM_REPORT_SIZE_MOST bytes. Returns the
 * number of bytes written; cannot fail. A watch_count above its limit counts as that. */
static inline size_t phantom_report_encode(const phantom_report *m, uint8_t *out)
{
    size_t o = 28;
    out[0] = (uint8_t)m->number;
    out[1] = (uint8_t)(m->number >> 8);
    out[2] = (uint8_t)m->state;
    out[3] = (uint8_t)m->trip;
    out[4] = (uint8_t)m->angle;
    out[5] = (uint8_t)(m->angle >> 8);
    out[6] = (uint8_t)(m->angle >> 16);
    out[7] = (uint8_t)(m->angle >> 24);
    {
        uint32_t bits;
        memcpy(&bits, &m->speed, sizeof bits); /* float is IEEE 754 binary32 */
        out[8] = (uint8_t)bits;
        out[9] = (uint8_t)(bits >> 8);
        out[10] = (uint8_t)(bits >> 16);
        out[11] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->torque, sizeof bits); /* float is IEEE 754 binary32 */
        out[12] = (uint8_t)bits;
        out[13] = (uint8_t)(bits >> 8);
        out[14] = (uint8_t)(bits >> 16);
        out[15] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->drawn, sizeof bits); /* float is IEEE 754 binary32 */
        out[16] = (uint8_t)bits;
        out[17] = (uint8_t)(bits >> 8);
        out[18] = (uint8_t)(bits >> 16);
        out[19] = (uint8_t)(bits >> 24);
    }
    {
        uint32_t bits;
        memcpy(&bits, &m->loss, sizeof bits); /* float is IEEE 754 binary32 */
        out[20] = (uint8_t)bits;
        out[21] = (uint8_t)(bits >> 8);
        out[22] = (uint8_t)(bits >> 16);
        out[23] = (uint8_t)(bits >> 24);
    }
    out[24] = (uint8_t)m->busy;
    out[25] = (uint8_t)(m->busy >> 8);
    out[26] = 0; /* reserved */
    out[27] = 0; /* reserved */
    const uint8_t count = m->watch_count > 32u ? 32u : m->watch_count;
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

/* Reads the payload of Report. Returns 1, or 0 when size is not one of this frame; then *m is as it was. */
static inline int phantom_report_decode(phantom_report *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_REPORT_SIZE || size > PHANTOM_REPORT_SIZE_MOST) return 0;
    if ((size - PHANTOM_REPORT_SIZE) % 4u != 0u) return 0;
    m->number = (uint16_t)(in[0] | (in[1] << 8));
    m->state = in[2];
    m->trip = in[3];
    m->angle = phantom_u32_at(in + 4);
    {
        const uint32_t bits = phantom_u32_at(in + 8);
        memcpy(&m->speed, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 12);
        memcpy(&m->torque, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 16);
        memcpy(&m->drawn, &bits, sizeof bits);
    }
    {
        const uint32_t bits = phantom_u32_at(in + 20);
        memcpy(&m->loss, &bits, sizeof bits);
    }
    m->busy = (uint16_t)(in[24] | (in[25] << 8));
    m->watch_count = (uint8_t)((size - 28u) / 4u);
    for (uint8_t k = 0; k < m->watch_count; k++) {
        const uint32_t bits = phantom_u32_at(in + 28 + 4 * k);
        memcpy(&m->watch[k], &bits, sizeof bits);
    }
    return 1;
}

/* ---- Note ---- Text for the person at the drill; at any time, never instead of an answer. Sent by the
 * board. */
#define PHANTOM_NOTE_ID 0x21u /* first byte of the packet */
#define PHANTOM_NOTE_SIZE 1u /* [bytes] payload without text */
#define PHANTOM_NOTE_SIZE_MOST 201u /* [bytes] longest payload */
/* Codes of level: */
#define PHANTOM_NOTE_PLAIN 0u /* for the record */
#define PHANTOM_NOTE_WARNING 1u /* something is not as it should be */
#define PHANTOM_NOTE_FAILURE 2u /* the board cannot do its work */

typedef struct phantom_note {
    uint8_t level; /* How urgent it is. */
    uint8_t text_count; /* [bytes] Length of the text. Not on the wire. */
    /* One line, UTF-8; control characters are not shown. Closed with a 0 when it was decoded. */
    char text[201];
} phantom_note;

/* Writes the payload of Note. Precondition: out has room for PHANTOM_NOTE_SIZE_MOST bytes. Returns the
 * number of bytes written; cannot fail. A text_count above its limit counts as that. */
static inline size_t phantom_note_encode(const phantom_note *m, uint8_t *out)
{
    size_t o = 1;
    out[0] = (uint8_t)m->level;
    const uint8_t count = m->text_count > 200u ? 200u : m->text_count;
    memcpy(out + o, m->text, count);
    o += count;
    return o;
}

/* Reads the payload of Note. Returns 1, or 0 when size is not one of this frame; then *m is as it was. */
static inline int phantom_note_decode(phantom_note *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_NOTE_SIZE || size > PHANTOM_NOTE_SIZE_MOST) return 0;
    m->level = in[0];
    m->text_count = (uint8_t)(size - 1u);
    memcpy(m->text, in + 1, m->text_count);
    m->text[m->text_count] = 0;
    return 1;
}

/* ---- Beat ---- Sign of life while nothing else is sent. Whoever gets one that asks sends it back with
 * the same number. Sent by either side. */
#define PHANTOM_BEAT_ID 0x05u /* first byte of the packet */
#define PHANTOM_BEAT_SIZE 8u /* [bytes] payload */
/* Bits of levels: */
#define PHANTOM_BEAT_ANSWER 0x01u /* this is the answer to a Beat */

typedef struct phantom_beat {
    uint16_t number; /* Counts up, wraps; the answer repeats it. */
    uint8_t levels; /* Kind. */
    uint32_t clock; /* Clock of the sender, wraps; 0 when it has none. 1 count = 0.000001 s */
} phantom_beat;

/* Writes the payload of Beat. Precondition: out has room for PHANTOM_BEAT_SIZE bytes. Returns the number
 * of bytes written; cannot fail. */
static inline size_t phantom_beat_encode(const phantom_beat *m, uint8_t *out)
{
    out[0] = (uint8_t)m->number;
    out[1] = (uint8_t)(m->number >> 8);
    out[2] = (uint8_t)m->levels;
    out[3] = 0; /* reserved */
    out[4] = (uint8_t)m->clock;
    out[5] = (uint8_t)(m->clock >> 8);
    out[6] = (uint8_t)(m->clock >> 16);
    out[7] = (uint8_t)(m->clock >> 24);
    return PHANTOM_BEAT_SIZE;
}

/* Reads the payload of Beat. Returns 1, or 0 when size is not one of this frame; then *m is as it was.
 * Bytes behind the last member come from a newer sender and are not read. */
static inline int phantom_beat_decode(phantom_beat *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_BEAT_SIZE) return 0;
    m->number = (uint16_t)(in[0] | (in[1] << 8));
    m->levels = in[2];
    m->clock = phantom_u32_at(in + 4);
    return 1;
}

/* ---- Bye ---- The sender ends the link. A board opens all legs and waits for the next Greet. Sent by
 * either side. */
#define PHANTOM_BYE_ID 0x06u /* first byte of the packet */
#define PHANTOM_BYE_SIZE 4u /* [bytes] payload */
/* Codes of reason: */
#define PHANTOM_BYE_DONE 0u /* the run is over, or the board is switched off */
#define PHANTOM_BYE_FAULT 1u /* the sender cannot go on */
#define PHANTOM_BYE_RESTART 2u /* the sender starts anew */

typedef struct phantom_bye {
    uint8_t reason; /* Why. */
} phantom_bye;

/* Writes the payload of Bye. Precondition: out has room for PHANTOM_BYE_SIZE bytes. Returns the number of
 * bytes written; cannot fail. */
static inline size_t phantom_bye_encode(const phantom_bye *m, uint8_t *out)
{
    out[0] = (uint8_t)m->reason;
    out[1] = 0; /* reserved */
    out[2] = 0; /* reserved */
    out[3] = 0; /* reserved */
    return PHANTOM_BYE_SIZE;
}

/* Reads the payload of Bye. Returns 1, or 0 when size is not one of this frame; then *m is as it was.
 * Bytes behind the last member come from a newer sender and are not read. */
static inline int phantom_bye_decode(phantom_bye *m, const uint8_t *in, size_t size)
{
    if (size < PHANTOM_BYE_SIZE) return 0;
    m->reason = in[0];
    return 1;
}

/* Whether a payload of `size` bytes can be the frame `id` from a drill: 1 yes, 0 wrong size, -1 no such frame. */
static inline int phantom_host_payload(uint8_t id, size_t size)
{
    switch (id) {
    case PHANTOM_GREET_ID: return size >= PHANTOM_GREET_SIZE && size <= PHANTOM_HOST_PAYLOAD_MOST;
    case PHANTOM_WELCOME_ID: return size >= PHANTOM_WELCOME_SIZE && size <= PHANTOM_HOST_PAYLOAD_MOST;
    case PHANTOM_REFUSE_ID: return size >= PHANTOM_REFUSE_SIZE && size <= PHANTOM_REFUSE_SIZE_MOST;
    case PHANTOM_SENSE_ID: return size >= PHANTOM_SENSE_SIZE && size <= PHANTOM_HOST_PAYLOAD_MOST;
    case PHANTOM_POWER_ID: return size >= PHANTOM_POWER_SIZE && size <= PHANTOM_HOST_PAYLOAD_MOST;
    case PHANTOM_SCENE_ID: return size >= PHANTOM_SCENE_SIZE && size <= PHANTOM_HOST_PAYLOAD_MOST;
    case PHANTOM_BEAT_ID: return size >= PHANTOM_BEAT_SIZE && size <= PHANTOM_HOST_PAYLOAD_MOST;
    case PHANTOM_BYE_ID: return size >= PHANTOM_BYE_SIZE && size <= PHANTOM_HOST_PAYLOAD_MOST;
    default: return -1;
    }
}

/* ---- Hello ---- What the board says about itself: a MessagePack map with these keys. Sent by the board. */
#define PHANTOM_HELLO_ID 0x02u /* first byte of the packet */
#define PHANTOM_KEY_VERSION "version" /* Protocol version of the board; at least 1; at most 65535. */
#define PHANTOM_KEY_BOARD "board" /* Which board or program this is; at most 63 characters. */
/* Which one of them: number of the chip, or of the process; at most 63 characters. */
#define PHANTOM_KEY_UID "uid"
/* Which build of the firmware this is, e.g. a hash; at most 63 characters. */
#define PHANTOM_KEY_FIRMWARE "firmware"
#define PHANTOM_KEY_PWM_HZ "pwm_Hz" /* [Hz] PWM frequency; at least 1000; at most 200000. */
/* Update points a PWM period, each with a Sense; at least 1; at most 2. */
#define PHANTOM_KEY_UPDATES "updates"
#define PHANTOM_KEY_BITS "bits" /* Bits of the converter; at least 8; at most 15. */
#define PHANTOM_KEY_SHUNTS "shunts" /* Legs that have a shunt; one of abc, ab, bc, ac. */
/* [A] phase current of one count; above 0; at most 100. */
#define PHANTOM_KEY_CURRENT_PER_COUNT_A "currentPerCount_A"
/* [count] reading of a shunt at zero current; at least 0; at most 65535. */
#define PHANTOM_KEY_CURRENT_ZERO_COUNTS "currentZero_counts"
/* [V] link voltage of one count; above 0; at most 10. */
#define PHANTOM_KEY_LINK_PER_COUNT_V "linkPerCount_V"
/* [count] trigger reading when released; at least 0; at most 65535. */
#define PHANTOM_KEY_TRIGGER_LOW_COUNTS "triggerLow_counts"
/* [count] trigger reading when pulled fully; at least 0; at most 65535. */
#define PHANTOM_KEY_TRIGGER_HIGH_COUNTS "triggerHigh_counts"
#define PHANTOM_KEY_HALLS "halls" /* Whether the board has Hall sensors. */
/* [V] phase voltage of one count; left out: the board does not read them (optional); above 0; at most 10. */
#define PHANTOM_KEY_PHASE_PER_COUNT_V "phasePerCount_V"
/* [ohm] thermistors at 25 deg C; left out: the board does not read them (optional); above 0; at most
 * 1000000. */
#define PHANTOM_KEY_NTC_OHM "ntc_ohm"
/* [K] exponent B of their law, at 25 deg C (optional); above 0; at most 10000. */
#define PHANTOM_KEY_NTC_B_K "ntcB_K"
/* [ohm] resistor from the reference to each thermistor (optional); above 0; at most 1000000. */
#define PHANTOM_KEY_NTC_PULL_UP_OHM "ntcPullUp_ohm"
/* [rad/s] body rate of one count; left out: not read (optional); above 0; at most 10. */
#define PHANTOM_KEY_GYRO_PER_COUNT_RAD_S "gyroPerCount_rad_s"
/* [m/s2] acceleration of one count; left out: not read (optional); above 0; at most 100. */
#define PHANTOM_KEY_ACCEL_PER_COUNT_M_S2 "accelPerCount_m_s2"
/* Whether the board takes all its time from the tick of Sense. */
#define PHANTOM_KEY_VIRTUAL_TICK "virtualTick"
/* Whether the board answers Scene: closes its fast loops itself, in wall time (optional). */
#define PHANTOM_KEY_RATE_SPLIT "rateSplit"
/* Frames that it can have unanswered; 1 if left out (optional); at least 1; at most 64. */
#define PHANTOM_KEY_CREDITS "credits"
#define PHANTOM_KEY_WATCH "watch" /* Values that ride in every Drive frame; at most 32 entries. */
/* Keys of each entry of watch: */
#define PHANTOM_KEY_WATCH_NAME "name" /* Name, unique on this board; at most 31 characters. */
#define PHANTOM_KEY_WATCH_UNIT "unit" /* Unit as printed, empty when there is none; at most 15 characters. */
/* Id of the bench signal that it estimates, when there is one (optional); at most 31 characters. */
#define PHANTOM_KEY_WATCH_SIGNAL "signal"

#endif /* PHANTOM_LINK_H */
