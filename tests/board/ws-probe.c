/*
 * For tests: the handshake and the frames of the WebSocket port without sockets. Input: records of a kind, a length in two
 * bytes and as many bytes; output: lines for each record, and a line with a dot behind them.
 */
#include <stdio.h>
#include <string.h>

#include "sha1.h"
#include "ws_frames.h"
#include "ws_handshake.h"

static void print(const char *what, const uint8_t *bytes, size_t n)
{
    printf("%s ", what);
    for (size_t k = 0; k < n; k++) printf("%02x", bytes[k]);
    printf("\n");
}

static void put(void *self, const uint8_t *bytes, size_t n)
{
    (void)self;
    print("put", bytes, n);
}

static void take(void *self, const uint8_t *bytes, size_t n)
{
    (void)self;
    print("take", bytes, n);
}

static uint8_t input[65536];

/* Reads the length and the bytes of a record. */
static size_t read_record(void)
{
    const int low = getchar();
    const size_t size = (size_t)(low | getchar() << 8);
    return fread(input, 1, size, stdin);
}

static void hash(size_t n)
{
    uint8_t out[SHA1_SIZE];
    char text[64];
    sha1(input, n, out);
    print("sha1", out, sizeof out);
    ws_base64(input, n < 40u ? n : 40u, text);
    printf("base64 %s\n", text);
}

/* One session: a request if there is one, then frames. */
static void session(size_t n, int shakes, const char *origin)
{
    static ws_handshake handshake;
    static ws_link link;
    char text[WS_ANSWER_MOST];
    ws_handshake_init(&handshake, origin);
    ws_init(&link, put, take, NULL);
    if (!shakes) handshake.status = 101;
    for (size_t k = 0; k < n; k++) {
        if (handshake.status == 101) {
            if (!ws_push(&link, input[k])) break;
        } else if (ws_handshake_push(&handshake, input[k])) {
            fwrite(text, 1, ws_handshake_answer(&handshake, text), stdout);
            if (handshake.status != 101) break;
        }
    }
    printf("closed %u messages %u pings %u status %d\n", link.closed, (unsigned)link.messages, (unsigned)link.pings,
           handshake.status);
}

static void swallow(void *self, const uint8_t *bytes, size_t n)
{
    uint64_t *sum = self;
    for (size_t k = 0; k < n; k++) *sum += bytes[k];
}

static uint64_t longest;

static void measure(void *self, const uint8_t *bytes, size_t n)
{
    swallow(self, bytes, n); /* every byte is read: a sanitizer sees where it lies */
    if (n > longest) longest = n;
}

/* Requests and frames in turn; prints sums only. */
static void many(void)
{
    static ws_link link;
    static ws_handshake handshake;
    uint64_t sum = 0;
    unsigned long messages = 0, open = 0, sessions = 0;
    for (; getchar() != EOF; sessions++) {
        const size_t n = read_record();
        ws_handshake_init(&handshake, NULL);
        ws_init(&link, swallow, measure, &sum);
        for (size_t k = 0; k < n; k++) {
            if (sessions & 1u) ws_handshake_push(&handshake, input[k]);
            else ws_push(&link, input[k]);
        }
        messages += link.messages;
        open += link.closed == 0;
    }
    printf("sessions %lu messages %lu longest %u open %lu\n", sessions, messages, (unsigned)longest, open);
}

int main(int argc, char **argv)
{
    if (argc == 2 && strcmp(argv[1], "many") == 0) {
        many();
        return 0;
    }
    for (int kind = getchar(); kind != EOF; kind = getchar()) {
        const size_t n = read_record();
        if (kind == 'h') hash(n);
        else session(n, kind != 'f', kind == 'o' ? "https://drill.example" : NULL);
        printf(".\n");
        fflush(stdout);
    }
    return 0;
}
