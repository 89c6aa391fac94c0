/* Sessions on file descriptors; see serve.h. A port for another kind of byte stream has `put` and the loop of `serve`. */
#include "serve.h"

#include <stdio.h>
#include <unistd.h>

#include "descriptors.h"

typedef struct stream {
    int out;
    int failed;
} stream;

static void put(void *port, const uint8_t *bytes, size_t n)
{
    stream *s = port;
    if (!s->failed && !write_whole(s->out, bytes, n)) s->failed = 1;
}

int serve(int in, int out, serve_as as)
{
    static starter s;
    uint8_t chunk[256];
    stream to = {out, 0};
    starter_init(&s, as.kind, as.uid, put, &to);
    phantom_board_hello(&s.board);
    while (!to.failed) {
        const ssize_t n = read(in, chunk, sizeof chunk);
        if (n == 0) return 0;
        if (n < 0) return 1;
        for (ssize_t k = 0; k < n; k++) phantom_board_push(&s.board, chunk[k]);
    }
    return 1;
}

int serve_tcp(const char *port, serve_as as)
{
    unsigned number;
    const int listener = listen_here("starter", port, &number);
    if (listener < 0) return 1;
    printf("tcp:127.0.0.1:%u\n", number);
    fflush(stdout);
    for (;;) {
        const int drill = accept_next("starter", listener);
        if (drill < 0) return 1;
        serve(drill, drill, as);
        close(drill);
    }
}
