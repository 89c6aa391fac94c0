/* One session on file descriptors; see serve.h. A port for another kind of byte stream has these two functions. */
#include "serve.h"

#include <unistd.h>

typedef struct stream {
    int out;
    int failed;
} stream;

static void put(void *port, const uint8_t *bytes, size_t n)
{
    stream *s = port;
    while (n > 0 && !s->failed) {
        const ssize_t done = write(s->out, bytes, n);
        if (done <= 0) {
            s->failed = 1;
            return;
        }
        bytes += done;
        n -= (size_t)done;
    }
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
