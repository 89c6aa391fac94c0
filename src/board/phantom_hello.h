/*
 * phantom_hello.h: writes Hello, the one frame that is a MessagePack map.
 *
 * SCOPE. Text and numbers into bytes. No I/O, no allocation, re-entrant. C99.
 * LIFETIMES. The structure and every text it points at must live until phantom_hello_encode returns, no longer; all
 * may be constants in flash.
 * LIMITS. See the PHANTOM_KEY_ lines in phantom_link.h; the drill checks every field and names the one that is wrong.
 */
#ifndef PHANTOM_HELLO_H
#define PHANTOM_HELLO_H

#include "phantom_link.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct phantom_watch {
    const char *name;   /* Name, unique on this board; 31 bytes at most. */
    const char *unit;   /* Unit as printed, "" when there is none; 15 bytes at most. */
    const char *signal; /* Id of the bench signal that it estimates, or NULL; 31 bytes at most. */
} phantom_watch;

typedef struct phantom_hello {
    const char *board;          /* Which board or program this is. */
    const char *uid;            /* Which one of them: number of the chip; the link is found again by it. */
    const char *firmware;       /* Which build: a hash or a version. */
    const char *shunts;         /* Legs with a shunt: "abc", "ab", "bc" or "ac". */
    float pwm_Hz;               /* [Hz] PWM frequency. */
    uint8_t updates;            /* 1 or 2 update points a period; one Sense for each. */
    uint8_t bits;               /* Bits of the converter. */
    float current_per_count_A;  /* [A] Phase current of one count. */
    float current_zero_counts;  /* [count] Reading at zero current. */
    float link_per_count_V;     /* [V] Link voltage of one count. */
    float trigger_low_counts;   /* [count] Trigger reading when released. */
    float trigger_high_counts;  /* [count] Trigger reading when pulled fully. */
    uint8_t halls;              /* 1 when the board has Hall sensors. */
    float phase_per_count_V;    /* [V] Phase voltage of one count; 0 when the board does not read them. */
    float ntc_ohm;              /* [ohm] Thermistors at 25 degrees Celsius; 0 when the board does not read them. */
    float ntc_b_K;              /* [K] Exponent B of their law. */
    float ntc_pull_up_ohm;      /* [ohm] Resistor from the reference to each. */
    float gyro_per_count_rad_s; /* [rad/s] Body rate of one count; 0 when not read. */
    float accel_per_count_m_s2; /* [m/s2] Acceleration of one count; 0 when not read. */
    uint8_t rate_split;         /* 1 when the board answers Scene with Report. */
    uint8_t credits;            /* Frames that it can have unanswered; 0 or 1: one. */
    uint8_t virtual_tick;       /* 1 when the board takes all its time from Sense.tick. */
    uint8_t watch_count;        /* Watch values in every Drive; 0 to PHANTOM_WATCH_MOST. */
    const phantom_watch *watch; /* Their names; may be NULL when watch_count is 0. */
} phantom_hello;

/*
 * Writes the payload of Hello. Returns the number of bytes, or 0 when it does not fit in `room` bytes or a text is
 * longer than 255 bytes; then out holds nothing of use. 1024 bytes are enough for eight watch values.
 */
size_t phantom_hello_encode(const phantom_hello *h, uint8_t *out, size_t room);

#ifdef __cplusplus
}
#endif

#endif /* PHANTOM_HELLO_H */
