/* ws_server.h: the starter behind a WebSocket on this machine (POSIX sockets). */
#ifndef WS_SERVER_H
#define WS_SERVER_H

#include "starter.h"

typedef struct ws_served {
    starter_kind kind;
    const char *uid;    /* as in starter_init */
    const char *origin; /* origin of pages allowed beside those of this machine, or NULL */
} ws_served;

/*
 * Serves one drill after another on a port of this machine (loopback only) and prints the address on standard output.
 * A drill that comes while the board is in use is turned away. port: "0" (any free one) to "65535". Returns only on
 * failure, with 1, after words on standard error. One call at a time: the starter lies in static memory.
 */
int ws_serve(const char *port, const ws_served *as);

#endif /* WS_SERVER_H */
