/* serve.h: the starter on file descriptors and TCP sockets (POSIX; file descriptors on WASI too). */
#ifndef SERVE_H
#define SERVE_H

#include "starter.h"

/* What to serve: which controller, and which one of several this is. uid lives as long as the call that takes it. */
typedef struct serve_as {
    starter_kind kind;
    const char *uid;
} serve_as;

/*
 * Serves one drill: says Hello, then answers what arrives on descriptor `in` on descriptor `out`, until the input ends.
 * Reads block; each answer is written out whole before the next read. Returns 0 at the end of the input, 1 when reading
 * or writing failed; errno then says why. Both descriptors stay open. One call at a time: the starter lies in static
 * memory.
 */
int serve(int in, int out, serve_as as);

/*
 * Serves one drill after another on a TCP port of this machine (loopback only) and prints its place on standard output,
 * as --controller takes it. port: "0" (any free one) to "65535". Returns only on failure, with 1, after words on standard
 * error.
 */
int serve_tcp(const char *port, serve_as as);

#endif /* SERVE_H */
