/* The starter as a WebSocket server of this machine. */
#include <stdio.h>
#include <string.h>

#include "ws_server.h"

static int usage(void)
{
    fprintf(stderr, "usage: starter-ws [--foc] [--uid TEXT] [--origin ORIGIN] --listen PORT\n");
    return 2;
}

int main(int argc, char **argv)
{
    ws_served as = {STARTER_SIX_STEP, "starter", NULL};
    const char *port = NULL;
    for (int k = 1; k < argc; k++) {
        if (strcmp(argv[k], "--foc") == 0) as.kind = STARTER_FOC;
        else if (k + 1 == argc) return usage();
        else if (strcmp(argv[k], "--uid") == 0) as.uid = argv[++k];
        else if (strcmp(argv[k], "--origin") == 0) as.origin = argv[++k];
        else if (strcmp(argv[k], "--listen") == 0) port = argv[++k];
        else return usage();
    }
    if (port == NULL) return usage();
    if (strlen(as.uid) > 63u) {
        fprintf(stderr, "starter-ws: --uid has %zu bytes; allowed are 63\n", strlen(as.uid));
        return 2;
    }
    return ws_serve(port, &as);
}
