/* The starter as a program: serves standard input and output, or with --listen a TCP port of this machine. */
#include <stdio.h>
#include <string.h>

#include "serve.h"

static int usage(void)
{
    fprintf(stderr, "usage: starter [--foc] [--uid TEXT] [--listen PORT]\n");
    return 2;
}

int main(int argc, char **argv)
{
    serve_as as = {STARTER_SIX_STEP, "starter"};
    const char *port = NULL;
    for (int k = 1; k < argc; k++) {
        if (strcmp(argv[k], "--foc") == 0) as.kind = STARTER_FOC;
        else if (strcmp(argv[k], "--uid") == 0 && k + 1 < argc) as.uid = argv[++k];
        else if (strcmp(argv[k], "--listen") == 0 && k + 1 < argc) port = argv[++k];
        else return usage();
    }
    if (strlen(as.uid) > 63u) {
        fprintf(stderr, "starter: --uid has %zu bytes; allowed are 63\n", strlen(as.uid));
        return 2;
    }
    return port ? serve_tcp(port, as) : serve(0, 1, as);
}
