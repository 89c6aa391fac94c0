/* Descriptors and sockets; see descriptors.h. */
#define _POSIX_C_SOURCE 200809L

#include "descriptors.h"

#include <errno.h>
#include <stdio.h>
#include <unistd.h>

int write_whole(int fd, const void *bytes, size_t n)
{
    const char *from = bytes;
    while (n > 0) {
        const ssize_t done = write(fd, from, n);
        if (done < 0 && errno == EINTR) continue;
        if (done <= 0) return 0;
        from += done;
        n -= (size_t)done;
    }
    return 1;
}

#ifdef __wasi__ /* has no way to open a socket */

int listen_here(const char *program, const char *port, unsigned *number)
{
    (void)number;
    fprintf(stderr, "%s: --listen %s: this build has no sockets; use standard input and output\n", program, port);
    return -1;
}

int accept_next(const char *program, int listener)
{
    (void)program;
    (void)listener;
    return -1;
}

#else

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <signal.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>

static int failed(const char *program, const char *port, const char *what)
{
    fprintf(stderr, "%s: --listen %s: ", program, port);
    perror(what);
    return -1;
}

int listen_here(const char *program, const char *port, unsigned *number)
{
    char *end;
    const long asked = strtol(port, &end, 10);
    if (*port == '\0' || *end != '\0' || asked < 0 || asked > 65535) {
        fprintf(stderr, "%s: --listen %s: allowed is a port from 0 to 65535 (0: any free one)\n", program, port);
        return -1;
    }
    signal(SIGPIPE, SIG_IGN); /* a drill that leaves ends its session, not the program */

    struct sockaddr_in address;
    memset(&address, 0, sizeof address);
    address.sin_family = AF_INET;
    address.sin_port = htons((uint16_t)asked);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    const int on = 1;
    socklen_t size = sizeof address;
    const int listener = socket(AF_INET, SOCK_STREAM, 0);
    if (listener < 0) return failed(program, port, "socket");
    setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (bind(listener, (const struct sockaddr *)&address, sizeof address) < 0) return failed(program, port, "bind");
    if (listen(listener, 4) < 0) return failed(program, port, "listen");
    if (getsockname(listener, (struct sockaddr *)&address, &size) < 0) return failed(program, port, "getsockname");
    *number = ntohs(address.sin_port);
    return listener;
}

int accept_next(const char *program, int listener)
{
    const int on = 1;
    int connection;
    do {
        connection = accept(listener, NULL, NULL);
    } while (connection < 0 && (errno == EINTR || errno == ECONNABORTED));
    if (connection < 0) {
        fprintf(stderr, "%s: ", program);
        perror("accept");
        return -1;
    }
    setsockopt(connection, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on); /* an answer must not wait for company */
    return connection;
}

#endif
