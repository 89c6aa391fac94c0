/*
 * UART of the Cortex-M System Design Kit, as the MPS2 boards have it; see uart.h. One byte of buffer each way.
 * SOURCE of the registers: the technical reference manual of that kit, from memory.
 */
#include "sleep.h"
#include "uart.h"

typedef struct cmsdk_uart {
    volatile uint32_t data;
    volatile uint32_t state;     /* bit 0: transmit buffer full, bit 1: receive buffer full */
    volatile uint32_t control;   /* bit 0: transmitter, bit 1: receiver, bit 3: receive interrupt */
    volatile uint32_t interrupt; /* reads the pending ones; a 1 written clears */
    volatile uint32_t divider;   /* clock over baud rate, 16 at least */
} cmsdk_uart;

#define UART ((cmsdk_uart *)0x40004000u)
#define SOURCE 0u
#define CLOCK_HZ 25000000u
#define BAUD 1000000u

#define TRANSMIT_FULL 1u
#define RECEIVE_FULL 2u
#define TRANSMITTER 1u
#define RECEIVER 2u
#define RECEIVE_INTERRUPT 8u
#define RECEIVED 2u

void uart_init(void)
{
    UART->divider = CLOCK_HZ / BAUD;
    UART->control = TRANSMITTER | RECEIVER | RECEIVE_INTERRUPT;
    sleep_init(SOURCE);
}

uint8_t uart_get(void)
{
    while ((UART->state & RECEIVE_FULL) == 0) sleep_now();
    const uint8_t byte = (uint8_t)UART->data;
    /* A byte that comes before these two lines is seen in `state` by the next call; one that comes after ends its sleep. */
    UART->interrupt = RECEIVED;
    sleep_again(SOURCE);
    return byte;
}

void uart_put(const uint8_t *bytes, size_t n)
{
    for (size_t k = 0; k < n; k++) {
        while (UART->state & TRANSMIT_FULL) {}
        UART->data = bytes[k];
    }
}
