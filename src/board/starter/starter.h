/* starter.h: what the starter program is made of. */
#ifndef STARTER_H
#define STARTER_H

/*
 * Serves one drill: says Hello, then answers every frame that arrives on fd `in` with one on fd `out`, until the
 * input ends. Reads block; each answer is written out whole before the next read. Returns 0 at the end of the input,
 * 1 when reading or writing failed.
 */
int serve(int in, int out);

/* Serves one drill after another on a TCP port of this machine (loopback only). Returns only on failure, with 1. */
int serve_tcp(const char *port);

#endif /* STARTER_H */
