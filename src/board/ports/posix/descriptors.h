/* descriptors.h: what the programs of this machine do with file descriptors (POSIX; on WASI without sockets). */
#ifndef DESCRIPTORS_H
#define DESCRIPTORS_H

#include <stddef.h>

/* Writes n bytes, in as many pieces as it takes. Returns 1; or 0 when writing failed, and errno says why. */
int write_whole(int fd, const void *bytes, size_t n);

/*
 * Listens on a TCP port of this machine (loopback only). program: for the words of a failure. port: "0" (any free one) to
 * "65535"; *number gets the one it is. From then on writing to a connection that is gone fails instead of ending the
 * program. Returns the descriptor; or -1 after words on standard error.
 */
int listen_here(const char *program, const char *port, unsigned *number);

/* Waits for the next connection; what is written to it leaves at once. Returns its descriptor, or -1 after words. */
int accept_next(const char *program, int listener);

#endif /* DESCRIPTORS_H */
