/* The starter as a program: "starter" serves standard input and output, "starter --listen PORT" a TCP port. */
#include <stdio.h>
#include <string.h>

#include "starter.h"

int main(int argc, char **argv)
{
    if (argc == 1) return serve(0, 1);
    if (argc == 3 && strcmp(argv[1], "--listen") == 0) return serve_tcp(argv[2]);
    fprintf(stderr, "usage: starter [--listen PORT]\n");
    return 2;
}
