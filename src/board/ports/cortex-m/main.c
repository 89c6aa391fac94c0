/*
 * The starter on a bare Cortex-M: one UART, no operating system, no interrupt handler.
 *
 * Waits for a byte, hands it to the board's side of the link, sends what comes out. In lock-step nothing arrives while
 * an answer is under way, so a buffer of one byte is enough for the exchange.
 */
#include "starter.h"
#include "uart.h"

#ifndef PORT_UID
#define PORT_UID "cortex-m, not numbered"
#endif
#ifndef PORT_KIND
#define PORT_KIND STARTER_SIX_STEP
#endif

static void put(void *port, const uint8_t *bytes, size_t n)
{
    (void)port;
    uart_put(bytes, n);
}

int main(void)
{
    static starter s;
    uart_init();
    starter_init(&s, PORT_KIND, PORT_UID, put, NULL);
    phantom_board_hello(&s.board);
    for (;;) phantom_board_push(&s.board, uart_get());
}
