/*
 * Fuzz driver of the kit: fuzz SEQUENCES SEED. Random, cut, doubled, merged and bit-flipped sequences of frames that are
 * known byte by byte go through the receiver, as a stream and as messages, and through a board; random bytes go through
 * every decoder. Meant for -fsanitize=address,undefined: what is read lies at the end of its memory. Prints figures, one
 * name and number a line; the test that runs it says what they may be.
 */
#include <stdio.h>
#include <stdlib.h>

#include "phantom_board.h"

#define FRAMES_MOST 4u
#define STRETCH 6u /* shorter than any frame with its delimiters: a fault of this length touches two at most */
#define ROOM 2048u

enum { FLIPPED, CUT, DOUBLED, MERGED, INSERTED, OVERWRITTEN, NOISE, SHAPED, FAULTS };

/* Xorshift of 32 bits: G. Marsaglia, Xorshift RNGs, J. Statistical Software 8(14), 2003. */
static uint32_t state;

static uint32_t draw(uint32_t below)
{
    state ^= state << 13;
    state ^= state >> 17;
    state ^= state << 5;
    return state % below;
}

static const struct {
    uint8_t id;
    uint8_t size;
} traffic[] = {
    {PHANTOM_GREET_ID, PHANTOM_GREET_SIZE},
    {PHANTOM_WELCOME_ID, PHANTOM_WELCOME_SIZE},
    {PHANTOM_REFUSE_ID, PHANTOM_REFUSE_SIZE + 1u},
    {PHANTOM_REFUSE_ID, PHANTOM_REFUSE_SIZE_MOST},
    {PHANTOM_SENSE_ID, PHANTOM_SENSE_SIZE},
    {PHANTOM_SENSE_ID, PHANTOM_SENSE_SIZE + 6u}, /* of a newer drill */
    {PHANTOM_POWER_ID, PHANTOM_POWER_SIZE},
    {PHANTOM_SCENE_ID, PHANTOM_SCENE_SIZE},
    {PHANTOM_BEAT_ID, PHANTOM_BEAT_SIZE},
    {PHANTOM_BYE_ID, PHANTOM_BYE_SIZE},
};
#define KINDS (sizeof traffic / sizeof traffic[0])

/* What was sent in this sequence: wire bytes, where each frame begins in them, and what must come out. */
static uint8_t good[ROOM];
static size_t begins[FRAMES_MOST + 2u];
static uint8_t payloads[FRAMES_MOST + 1u][PHANTOM_HOST_PAYLOAD_MOST];
static uint8_t ids[FRAMES_MOST + 1u];
static size_t sizes[FRAMES_MOST + 1u];
static int arrived[FRAMES_MOST + 1u];
static size_t count;

static uint8_t bad[2u * ROOM];
static uint8_t *edge; /* the last byte of this memory is the last that may be read */

static phantom_receiver receiver;
static phantom_board board;
static int messages;
static uint32_t fault;
static unsigned long long bytes, sent, lost, most_lost, lost_untouched, shaped, false_shaped, false_flipped;
static unsigned long long false_other, put_bytes, decoded;

static void take(void)
{
    for (size_t k = 0; k < count; k++) {
        if (receiver.id != ids[k] || receiver.payload_size != sizes[k]) continue;
        if (memcmp(receiver.payload, payloads[k], sizes[k]) != 0) continue;
        arrived[k] = 1;
        return;
    }
    if (fault == SHAPED) false_shaped++;
    else if (fault == FLIPPED) false_flipped++;
    else false_other++;
}

static void push(const uint8_t *from, size_t n)
{
    bytes += n;
    if (!messages) {
        for (size_t k = 0; k < n; k++) {
            if (phantom_receiver_push(&receiver, from[k])) take();
            phantom_board_push(&board, from[k]);
        }
        return;
    }
    uint8_t *message = edge + 2u * ROOM - n;
    memcpy(message, from, n);
    if (phantom_receiver_message(&receiver, message, n)) take();
    phantom_board_message(&board, message, n);
}

/* One more good frame of random content; no two of a sequence are the same. */
static void append(void)
{
    const size_t kind = draw(KINDS);
    uint8_t *own = payloads[count];
    ids[count] = traffic[kind].id;
    sizes[count] = traffic[kind].size;
    for (size_t k = 0; k < sizes[count]; k++) own[k] = (uint8_t)(draw(3) == 0 ? 0u : draw(256));
    own[0] = (uint8_t)((own[0] & 0xF8u) | count);
    arrived[count] = 0;
    uint8_t *out = good + begins[count];
    const size_t n = messages ? phantom_packet_seal(ids[count], own, sizes[count], out)
                              : phantom_frame_wrap(ids[count], own, sizes[count], out);
    begins[count + 1u] = begins[count] + n;
    count++;
    sent++;
}

/* Every frame must have arrived that the bytes from a to b do not lie in, nor the place a when they are none. */
static void judge(size_t frames, size_t a, size_t b, int is_short)
{
    unsigned long long gone = 0;
    for (size_t k = 0; k < frames; k++) {
        if (arrived[k]) continue;
        gone++;
        const int touched = a == b ? begins[k] < a && a < begins[k + 1u] : begins[k] < b && a < begins[k + 1u];
        if (!touched) lost_untouched++;
    }
    lost += gone;
    if (is_short && gone > most_lost) most_lost = gone;
}

/* Writes the bytes from `from` to `to` with the fault between a and b to `bad`; returns how many. */
static size_t damaged(size_t from, size_t to, size_t a, size_t b)
{
    size_t end = fault == DOUBLED ? b - from : a - from;
    size_t rest = fault == DOUBLED || fault == INSERTED ? a : b;
    memcpy(bad, good + from, end);
    if (fault == FLIPPED) {
        memcpy(bad + end, good + a, b - a);
        for (uint32_t n = 1u + draw(3); n > 0; n--) bad[end + draw((uint32_t)(b - a))] ^= (uint8_t)(1u << draw(8));
        end += b - a;
    }
    if (fault == OVERWRITTEN || fault == INSERTED) {
        /* on a stream with more delimiters than chance has */
        for (size_t k = a; k < b; k++) bad[end++] = (uint8_t)(!messages && draw(8) == 0 ? 0u : draw(256));
    }
    memcpy(bad + end, good + rest, to - rest);
    return end + to - rest;
}

static void send_damaged(void)
{
    const size_t frames = 1u + draw(FRAMES_MOST);
    for (size_t k = 0; k < frames; k++) append();
    /* On a stream the fault is anywhere; of messages it hits one, or makes one of two. */
    const size_t first = messages ? draw((uint32_t)frames) : 0u;
    size_t behind = messages ? first + (fault == MERGED ? 2u : 1u) : frames;
    if (behind > frames) behind = frames;
    const size_t from = begins[first];
    const size_t to = begins[behind];
    const int is_short = draw(8) != 0;
    size_t a = from + draw((uint32_t)(to - from));
    size_t b = a + 1u + draw(is_short ? STRETCH : (uint32_t)(to - from));
    if (b > to) b = to;
    if (fault == MERGED) {
        const size_t border = begins[first + 1u];
        const int whole = messages || border == to;
        a = whole ? border : border - 1u - draw(2);
        b = whole ? border : border + 1u + draw(2);
    }
    for (size_t k = 0; k < first; k++) push(good + begins[k], begins[k + 1u] - begins[k]);
    push(bad, damaged(from, to, a, b));
    for (size_t k = behind; k < frames; k++) push(good + begins[k], begins[k + 1u] - begins[k]);
    if (fault == DOUBLED) a = b;
    if (fault == INSERTED) b = a;
    judge(frames, messages ? from : a, messages ? to : b, is_short);
}

static void send_noise(void)
{
    const size_t n = draw(301);
    const uint32_t zeros = 2u + draw(60);
    for (size_t k = 0; k < n; k++) bad[k] = (uint8_t)(draw(zeros) == 0 ? 0u : draw(256));
    push(bad, n);
}

/* A packet with a known id and a right length whose checksum is chance: the kit seals it, then the seal is drawn anew. */
static void send_shaped(void)
{
    static uint8_t packet[PHANTOM_HOST_PAYLOAD_MOST + PHANTOM_PACKET_EXTRA];
    const size_t kind = draw(KINDS);
    const size_t n = traffic[kind].size + PHANTOM_PACKET_EXTRA;
    packet[0] = traffic[kind].id;
    for (size_t k = 1; k < n; k++) packet[k] = (uint8_t)draw(256);
    shaped++;
    if (messages) {
        push(packet, n);
        return;
    }
    size_t code_at = 1;
    size_t o = 2;
    bad[0] = 0;
    for (size_t k = 0; k < n; k++) { /* no packet here has 254 bytes */
        if (packet[k] == 0) {
            bad[code_at] = (uint8_t)(o - code_at);
            code_at = o++;
        } else bad[o++] = packet[k];
    }
    bad[code_at] = (uint8_t)(o - code_at);
    bad[o++] = 0;
    push(bad, o);
}

static void sequence(uint32_t which)
{
    fault = which;
    count = 0;
    if (fault == NOISE) send_noise();
    else if (fault == SHAPED) send_shaped();
    else send_damaged();
    const size_t behind = count;
    append();
    push(good + begins[behind], begins[behind + 1u] - begins[behind]);
    if (!arrived[behind]) lost_untouched++;
}

/* Random bytes for one decoder, and what came of them through its encoder into no more room than it asks for. */
#define DECODE(name, room)                                                     \
    do {                                                                       \
        phantom_##name m;                                                      \
        if (phantom_##name##_decode(&m, in, n)) {                              \
            decoded++;                                                         \
            put_bytes += phantom_##name##_encode(&m, edge + 2u * ROOM - room); \
        }                                                                      \
    } while (0)

static void decode_chance(void)
{
    static uint8_t memory[2u * ROOM];
    const size_t n = draw(2) == 0 ? draw(220) : 4u * draw(52);
    for (size_t k = 0; k < n; k++) memory[k] = (uint8_t)draw(256);
    uint8_t *in = edge + 2u * ROOM - n;
    memcpy(in, memory, n);
    switch (draw(11)) {
    case 0: DECODE(greet, PHANTOM_GREET_SIZE); break;
    case 1: DECODE(welcome, PHANTOM_WELCOME_SIZE); break;
    case 2: DECODE(refuse, PHANTOM_REFUSE_SIZE_MOST); break;
    case 3: DECODE(sense, PHANTOM_SENSE_SIZE); break;
    case 4: DECODE(drive, PHANTOM_DRIVE_SIZE_MOST); break;
    case 5: DECODE(power, PHANTOM_POWER_SIZE); break;
    case 6: DECODE(scene, PHANTOM_SCENE_SIZE); break;
    case 7: DECODE(report, PHANTOM_REPORT_SIZE_MOST); break;
    case 8: DECODE(note, PHANTOM_NOTE_SIZE_MOST); break;
    case 9: DECODE(beat, PHANTOM_BEAT_SIZE); break;
    default: DECODE(bye, PHANTOM_BYE_SIZE); break;
    }
}

static void on_put(void *port, const uint8_t *out, size_t n)
{
    (void)port;
    for (size_t k = 0; k < n; k++) put_bytes += out[k] != 0u;
}

static void on_tick(void *self, const phantom_sense *sense, phantom_drive *drive)
{
    (void)self;
    drive->gates = (uint8_t)(sense->flags & 7u);
}

static void run(unsigned long sequences, int as_messages)
{
    static const phantom_watch watch[] = {{"a", "V", NULL}, {"b", "", "motorSpeed"}};
    static const phantom_hello hello = {
        .board = "fuzz", .uid = "1", .firmware = "0", .shunts = "abc", .pwm_Hz = 20000.0f, .updates = 1, .bits = 12,
        .watch_count = 2, .watch = watch};
    messages = as_messages;
    phantom_receiver_init(&receiver);
    phantom_board_init(&board, &hello, on_put, NULL, on_tick, NULL);
    board.messages = (uint8_t)as_messages;
    bytes = sent = lost = most_lost = lost_untouched = shaped = false_shaped = false_flipped = false_other = 0;
    for (unsigned long k = 0; k < sequences; k++) sequence((uint32_t)(k % FAULTS));
    const unsigned long long dropped =
        (unsigned long long)receiver.bad_crc + receiver.wrong_length + receiver.unknown_id + false_other + false_flipped;
    printf("messages %d\nsequences %lu\nbytes %llu\nsent %llu\nlost %llu\n", messages, sequences, bytes, sent, lost);
    printf("mostLost %llu\nlostUntouched %llu\nshaped %llu\n", most_lost, lost_untouched, shaped);
    printf("falseShaped %llu\nfalseFlipped %llu\n", false_shaped, false_flipped);
    printf("falseOther %llu\ncandidates %llu\n", false_other, dropped);
    printf("tooLong %lu\nbadCobs %lu\n", (unsigned long)receiver.too_long, (unsigned long)receiver.bad_cobs);
    /* The board has a receiver of its own, which saw the same. */
    printf("boardDiffers %d\n", board.receiver.packets != receiver.packets || board.receiver.bad_crc != receiver.bad_crc);
}

int main(int argc, char **argv)
{
    const unsigned long sequences = argc > 1 ? strtoul(argv[1], NULL, 10) : 200000ul;
    state = argc > 2 ? (uint32_t)strtoul(argv[2], NULL, 10) * 2654435761u : 1u;
    if (state == 0) state = 1;
    edge = malloc(2u * ROOM);
    if (!edge) return 2;
    run(sequences / 2ul, 0);
    run(sequences / 2ul, 1);
    for (unsigned long k = 0; k < sequences; k++) decode_chance();
    printf("decoded %llu\nputBytes %llu\n", decoded, put_bytes);
    free(edge);
    return 0;
}
