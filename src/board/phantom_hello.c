/* Hello as a MessagePack map; see phantom_hello.h. Format bytes: github.com/msgpack/msgpack, spec.md. */
#include "phantom_hello.h"

#define FIXMAP 0x80u
#define FALSE_BYTE 0xC2u
#define FLOAT32 0xCAu
#define UINT16 0xCDu
#define STR8 0xD9u
#define ARRAY16 0xDCu

#define MAP16 0xDEu

/* Keys that every Hello has; those of sensors come on top. */
#define HELLO_KEYS 16u

/* Output with a bound; after an overflow `full` stays set and nothing more is written. */
typedef struct writer {
    uint8_t *out;
    size_t room;
    size_t o;
    int full;
} writer;

static void put(writer *w, uint32_t byte)
{
    if (w->o < w->room) w->out[w->o++] = (uint8_t)byte;
    else w->full = 1;
}

static void put_text(writer *w, const char *text)
{
    const size_t n = strlen(text);
    if (n > 255u) {
        w->full = 1;
        return;
    }
    put(w, STR8);
    put(w, (uint32_t)n);
    for (size_t k = 0; k < n; k++) put(w, (uint8_t)text[k]);
}

/* MessagePack is big-endian, unlike the fixed frames. */
static void put_float(writer *w, const char *key, float value)
{
    uint32_t bits;
    memcpy(&bits, &value, sizeof bits);
    put_text(w, key);
    put(w, FLOAT32);
    for (int shift = 24; shift >= 0; shift -= 8) put(w, (bits >> shift) & 0xFFu);
}

static void put_count(writer *w, const char *key, uint32_t count)
{
    put_text(w, key);
    put(w, UINT16);
    put(w, count >> 8);
    put(w, count & 0xFFu);
}

static void put_flag(writer *w, const char *key, uint8_t flag)
{
    put_text(w, key);
    put(w, flag ? FALSE_BYTE + 1u : FALSE_BYTE);
}

static void put_named_text(writer *w, const char *key, const char *text)
{
    put_text(w, key);
    put_text(w, text);
}

static void put_watch(writer *w, const phantom_watch *each)
{
    put(w, each->signal ? FIXMAP + 3u : FIXMAP + 2u);
    put_named_text(w, PHANTOM_KEY_WATCH_NAME, each->name);
    put_named_text(w, PHANTOM_KEY_WATCH_UNIT, each->unit);
    if (each->signal) put_named_text(w, PHANTOM_KEY_WATCH_SIGNAL, each->signal);
}

size_t phantom_hello_encode(const phantom_hello *h, uint8_t *out, size_t room)
{
    writer w;
    w.out = out;
    w.room = room;
    w.o = 0;
    w.full = 0;
    const uint32_t thermistors = h->ntc_ohm > 0.0f ? 3u : 0u;
    const uint32_t more = thermistors + (h->phase_per_count_V > 0.0f) + (h->gyro_per_count_rad_s > 0.0f) +
                          (h->accel_per_count_m_s2 > 0.0f) + (h->rate_split != 0) + (h->credits > 1u);
    put(&w, MAP16);
    put(&w, 0u);
    put(&w, HELLO_KEYS + more);
    put_count(&w, PHANTOM_KEY_VERSION, PHANTOM_PROTOCOL_VERSION);
    put_named_text(&w, PHANTOM_KEY_BOARD, h->board);
    put_named_text(&w, PHANTOM_KEY_UID, h->uid);
    put_named_text(&w, PHANTOM_KEY_FIRMWARE, h->firmware);
    put_named_text(&w, PHANTOM_KEY_SHUNTS, h->shunts);
    put_float(&w, PHANTOM_KEY_PWM_HZ, h->pwm_Hz);
    put_count(&w, PHANTOM_KEY_UPDATES, h->updates);
    put_count(&w, PHANTOM_KEY_BITS, h->bits);
    put_float(&w, PHANTOM_KEY_CURRENT_PER_COUNT_A, h->current_per_count_A);
    put_float(&w, PHANTOM_KEY_CURRENT_ZERO_COUNTS, h->current_zero_counts);
    put_float(&w, PHANTOM_KEY_LINK_PER_COUNT_V, h->link_per_count_V);
    put_float(&w, PHANTOM_KEY_TRIGGER_LOW_COUNTS, h->trigger_low_counts);
    put_float(&w, PHANTOM_KEY_TRIGGER_HIGH_COUNTS, h->trigger_high_counts);
    put_flag(&w, PHANTOM_KEY_HALLS, h->halls);
    put_flag(&w, PHANTOM_KEY_VIRTUAL_TICK, h->virtual_tick);
    if (h->phase_per_count_V > 0.0f) put_float(&w, PHANTOM_KEY_PHASE_PER_COUNT_V, h->phase_per_count_V);
    if (thermistors) {
        put_float(&w, PHANTOM_KEY_NTC_OHM, h->ntc_ohm);
        put_float(&w, PHANTOM_KEY_NTC_B_K, h->ntc_b_K);
        put_float(&w, PHANTOM_KEY_NTC_PULL_UP_OHM, h->ntc_pull_up_ohm);
    }
    if (h->gyro_per_count_rad_s > 0.0f) put_float(&w, PHANTOM_KEY_GYRO_PER_COUNT_RAD_S, h->gyro_per_count_rad_s);
    if (h->accel_per_count_m_s2 > 0.0f) put_float(&w, PHANTOM_KEY_ACCEL_PER_COUNT_M_S2, h->accel_per_count_m_s2);
    if (h->rate_split) put_flag(&w, PHANTOM_KEY_RATE_SPLIT, 1);
    if (h->credits > 1u) put_count(&w, PHANTOM_KEY_CREDITS, h->credits);
    put_text(&w, PHANTOM_KEY_WATCH);
    put(&w, ARRAY16);
    put(&w, 0u);
    put(&w, h->watch_count);
    for (uint8_t k = 0; k < h->watch_count; k++) put_watch(&w, &h->watch[k]);
    return w.full ? 0 : w.o;
}
