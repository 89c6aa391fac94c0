/*
 * uart.h: a UART without interrupts service, asleep while nothing comes.
 *
 * The receive interrupt is enabled at the UART and at the interrupt controller, but masked at the processor: it ends a
 * WFI and is never taken. So there is no handler, nothing is shared, and a byte that arrives between the look and the
 * WFI still wakes it.
 */
#ifndef UART_H
#define UART_H

#include <stddef.h>
#include <stdint.h>

/* Makes the UART ready: 8 data bits, no parity, one stop bit. */
void uart_init(void);

/* Waits for the next byte and returns it. */
uint8_t uart_get(void);

/* Sends n bytes; returns when the last one is in the UART. */
void uart_put(const uint8_t *bytes, size_t n);

#endif /* UART_H */
