/* Sockets under the WebSocket; see ws_server.h. One drill at a time, one loop. */
#define _POSIX_C_SOURCE 200809L

#include "ws_server.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

#include "descriptors.h"
#include "ws_frames.h"
#include "ws_handshake.h"

#define HANDSHAKE_MS 5000
#define LEAVE_MS 1000 /* for the other side to end the connection after the farewell */
#define SEND_S 5      /* a drill that takes nothing for so long is given up */

/* One connection and what is behind it. */
typedef struct session {
    int drill;
    int failed;
    ws_handshake handshake;
    ws_link link;
    starter board;
} session;

/* What the loop waits on beside the drill. */
typedef struct door {
    int listener;
    int guest; /* -1, or a connection that was turned away and has not ended yet */
} door;

static long now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (long)t.tv_sec * 1000L + t.tv_nsec / 1000000L;
}

static void put_frame(void *self, const uint8_t *bytes, size_t n)
{
    session *s = self;
    if (!s->failed && !write_whole(s->drill, bytes, n)) s->failed = 1;
}

static void take_message(void *self, const uint8_t *message, size_t n)
{
    session *s = self;
    phantom_board_message(&s->board.board, message, n);
}

static void put_packet(void *port, const uint8_t *bytes, size_t n)
{
    session *s = port;
    ws_send(&s->link, bytes, n);
}

static int answer_request(session *s)
{
    char text[WS_ANSWER_MOST];
    return write_whole(s->drill, text, ws_handshake_answer(&s->handshake, text)) && s->handshake.status == 101;
}

/* Takes what arrived. Returns 0 when the session is over. */
static int take(session *s, const uint8_t *bytes, size_t n)
{
    for (size_t k = 0; k < n; k++) {
        if (s->handshake.status == 101) {
            if (!ws_push(&s->link, bytes[k]) || s->failed) return 0;
        } else if (ws_handshake_push(&s->handshake, bytes[k])) {
            if (!answer_request(s)) return 0;
            phantom_board_hello(&s->board.board);
        }
    }
    return !s->failed;
}

/* A second drill hears that the board is in use; the first one does not wait for it to leave. */
static void turn_away(door *d)
{
    char text[WS_ANSWER_MOST];
    ws_handshake busy;
    const int guest = accept(d->listener, NULL, NULL);
    if (guest < 0) return;
    if (d->guest >= 0) close(d->guest);
    d->guest = guest;
    ws_handshake_init(&busy, NULL);
    busy.status = 503;
    busy.why = "the board is in use";
    write_whole(guest, text, ws_handshake_answer(&busy, text)); /* fits in the socket: it does not block */
    shutdown(guest, SHUT_WR);
}

/* Reads a guest until it has left: a connection that is closed on unread bytes loses what was said to it. */
static void hear_guest(door *d)
{
    char unread[1024];
    if (read(d->guest, unread, sizeof unread) > 0) return;
    close(d->guest);
    d->guest = -1;
}

static void talk(session *s, door *d)
{
    uint8_t chunk[4096];
    const long until_ms = now_ms() + HANDSHAKE_MS;
    for (;;) {
        struct pollfd on[3] = {{s->drill, POLLIN, 0}, {d->listener, POLLIN, 0}, {d->guest, POLLIN, 0}};
        const long left_ms = until_ms - now_ms();
        if (s->handshake.status == 0 && left_ms <= 0) return;
        if (poll(on, 3, s->handshake.status == 0 ? (int)left_ms : -1) < 0 && errno != EINTR) return;
        if (on[1].revents) turn_away(d);
        else if (on[2].revents) hear_guest(d);
        if (on[0].revents == 0) continue;
        const ssize_t n = read(s->drill, chunk, sizeof chunk);
        if (n < 0 && errno == EINTR) continue;
        if (n <= 0 || !take(s, chunk, (size_t)n)) return;
    }
}

/* Lets the other side read the farewell before the connection ends. */
static void leave(int fd)
{
    char unread[1024];
    const long until_ms = now_ms() + LEAVE_MS;
    shutdown(fd, SHUT_WR);
    for (long left_ms = LEAVE_MS; left_ms > 0; left_ms = until_ms - now_ms()) {
        struct pollfd on = {fd, POLLIN, 0};
        if (poll(&on, 1, (int)left_ms) <= 0 || read(fd, unread, sizeof unread) <= 0) break;
    }
    close(fd);
}

static void serve_drill(int drill, door *d, const ws_served *as)
{
    static session s;
    const struct timeval limit = {SEND_S, 0};
    setsockopt(drill, SOL_SOCKET, SO_SNDTIMEO, &limit, sizeof limit);
    s.drill = drill;
    s.failed = 0;
    ws_handshake_init(&s.handshake, as->origin);
    ws_init(&s.link, put_frame, take_message, &s);
    starter_init(&s.board, as->kind, as->uid, put_packet, &s);
    s.board.board.messages = 1;
    talk(&s, d);
    leave(drill);
}

int ws_serve(const char *port, const ws_served *as)
{
    unsigned number;
    const int listener = listen_here("starter-ws", port, &number);
    if (listener < 0) return 1;
    printf("ws://127.0.0.1:%u/\n", number);
    fflush(stdout);

    door d = {listener, -1};
    for (;;) {
        const int drill = accept_next("starter-ws", listener);
        if (drill < 0) return 1;
        serve_drill(drill, &d, as);
    }
}
