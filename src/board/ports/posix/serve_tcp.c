/* Sessions over TCP, POSIX sockets; see serve.h. WASI has no way to open a socket, so the program says so there. */
#define _POSIX_C_SOURCE 200809L

#include "serve.h"

#include <stdio.h>
#include <stdlib.h>

#ifdef __wasi__

int serve_tcp(const char *port, serve_as as)
{
    (void)as;
    fprintf(stderr, "starter: --listen %s: this build has no sockets; use standard input and output\n", port);
    return 1;
}

#else

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <signal.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

static int failed(const char *what, const char *port)
{
    fprintf(stderr, "starter: --listen %s: ", port);
    perror(what);
    return 1;
}

int serve_tcp(const char *port, serve_as as)
{
    char *end;
    const long number = strtol(port, &end, 10);
    if (*port == '\0' || *end != '\0' || number < 1 || number > 65535) {
        fprintf(stderr, "starter: --listen %s: allowed is a port from 1 to 65535\n", port);
        return 1;
    }
    signal(SIGPIPE, SIG_IGN); /* a drill that leaves ends its session, not the program */

    struct sockaddr_in address;
    memset(&address, 0, sizeof address);
    address.sin_family = AF_INET;
    address.sin_port = htons((uint16_t)number);
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    const int on = 1;
    const int listener = socket(AF_INET, SOCK_STREAM, 0);
    if (listener < 0) return failed("socket", port);
    setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (bind(listener, (const struct sockaddr *)&address, sizeof address) < 0) return failed("bind", port);
    if (listen(listener, 1) < 0) return failed("listen", port);

    for (;;) {
        const int drill = accept(listener, NULL, NULL);
        if (drill < 0) return failed("accept", port);
        setsockopt(drill, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on); /* an answer must not wait for company */
        serve(drill, drill, as);
        close(drill);
    }
}

#endif
