/*
 * Test program: a board that shows what phantom_board does. Reads a stream on standard input; with --messages two bytes
 * of length (low first) before each message. Every put goes to standard output behind two bytes of length. Options:
 * --uid TEXT, --scene. At the end a record of length 0, then the texts and counters as lines.
 * The controller: watch[0] counts ticks, watch[1] losses of supply; trigger n from 1 to 250 sends a Note of n bytes,
 * trigger 300 tries to answer another tick with another number of watch values, trigger 301 sends a Note of 300 bytes in
 * characters of three bytes after one of one.
 */
#include <stdio.h>
#include <string.h>

#include "phantom_board.h"

static phantom_board board;
static float ticks;
static float losses;

static void put(void *port, const uint8_t *bytes, size_t n)
{
    FILE *out = port;
    fputc((int)(n & 255u), out);
    fputc((int)(n >> 8), out);
    fwrite(bytes, 1, n, out);
}

static void note(size_t n, int wide)
{
    char text[302];
    memset(text, 'n', sizeof text);
    if (wide) for (size_t k = 1; k + 2u < n; k += 3u) memcpy(text + k, "\xE2\x82\xAC", 3);
    text[n] = 0;
    phantom_board_note(&board, PHANTOM_NOTE_WARNING, text);
}

static void tick(void *self, const phantom_sense *sense, phantom_drive *drive)
{
    (void)self;
    drive->watch[0] = ++ticks;
    drive->watch[1] = losses;
    drive->duty_a = sense->ia;
    if (sense->trigger > 0 && sense->trigger <= 250) note(sense->trigger, 0);
    if (sense->trigger == 301) note(301, 1);
    if (sense->trigger == 300) {
        drive->tick++;
        drive->watch_count = 31;
    }
}

static void supply(void *self, int on)
{
    (void)self;
    if (!on) losses++;
}

static void scene(void *self, const phantom_scene *s, phantom_report *report)
{
    (void)self;
    report->number = 999;
    report->watch_count = 0;
    report->torque = s->push * 2.0f;
}

static int message(void)
{
    uint8_t packet[600];
    const int low = getchar();
    const int high = getchar();
    if (high < 0) return 0;
    const size_t n = (size_t)low + 256u * (size_t)high;
    if (n > sizeof packet || fread(packet, 1, n, stdin) != n) return 0;
    phantom_board_message(&board, packet, n);
    return 1;
}

int main(int argc, char **argv)
{
    static const phantom_watch watch[] = {{"ticks", "", NULL}, {"losses", "", NULL}};
    phantom_hello hello = {
        .board = "probe", .uid = "1", .firmware = "1", .shunts = "abc", .pwm_Hz = 20000.0f, .updates = 1, .bits = 12,
        .current_per_count_A = 0.08f, .current_zero_counts = 2048.0f, .link_per_count_V = 0.01f,
        .trigger_low_counts = 400.0f, .trigger_high_counts = 3600.0f, .virtual_tick = 1, .watch_count = 2, .watch = watch,
    };
    phantom_interval *interval = NULL;
    uint8_t messages = 0;
    for (int k = 1; k < argc; k++) {
        if (strcmp(argv[k], "--messages") == 0) messages = 1;
        else if (strcmp(argv[k], "--scene") == 0) interval = scene;
        else hello.uid = argv[k];
    }
    phantom_board_init(&board, &hello, put, stdout, tick, NULL);
    board.messages = messages;
    board.power = supply;
    board.scene = interval;
    board.clock_us = 123456u;
    const int said = phantom_board_hello(&board);
    if (messages) while (message()) {}
    else for (int byte = getchar(); byte >= 0; byte = getchar()) phantom_board_push(&board, (uint8_t)byte);
    phantom_board_bye(&board, PHANTOM_BYE_FAULT);
    put(stdout, NULL, 0);
    const phantom_receiver *r = &board.receiver;
    printf("said %d\nwelcomed %d %u %u\nrefused %d %s\n", said, board.welcomed, (unsigned)board.welcome.tick,
           board.welcome.patience, board.refused, board.refuse.text);
    printf("powered %d\nanswered %u\nrepeated %u\nbeats %u\ntooLong %u\nbadCrc %u\n", board.powered,
           (unsigned)board.answered, (unsigned)board.repeated, (unsigned)board.beats, (unsigned)r->too_long,
           (unsigned)r->bad_crc);
    return 0;
}
