/*
 * UART of the nRF51 series, as the small Cortex-M0 board has it; see uart.h. Six bytes of buffer for what arrives.
 * SOURCE of the registers: the reference manual of that series, from memory.
 */
#include "sleep.h"
#include "uart.h"

#define UART_BASE 0x40002000u
#define REGISTER(offset) (*(volatile uint32_t *)(UART_BASE + (offset)))
#define START_RECEIVER REGISTER(0x000u)
#define START_TRANSMITTER REGISTER(0x008u)
#define RECEIVED REGISTER(0x108u)    /* 1: a byte lies in the buffer; 0 written clears */
#define TRANSMITTED REGISTER(0x11Cu) /* 1: the byte is out; 0 written clears */
#define ENABLE_INTERRUPT REGISTER(0x304u)
#define ENABLE REGISTER(0x500u)
#define PIN_TRANSMIT REGISTER(0x50Cu)
#define PIN_RECEIVE REGISTER(0x514u)
#define RECEIVE REGISTER(0x518u)
#define TRANSMIT REGISTER(0x51Cu)
#define BAUD REGISTER(0x524u)

#define SOURCE 2u
#define RECEIVE_INTERRUPT (1u << 2)
#define ENABLED 4u
#define BAUD_1M 0x10000000u

void uart_init(void)
{
    PIN_TRANSMIT = 24u;
    PIN_RECEIVE = 25u;
    BAUD = BAUD_1M;
    ENABLE = ENABLED;
    ENABLE_INTERRUPT = RECEIVE_INTERRUPT;
    START_RECEIVER = 1u;
    START_TRANSMITTER = 1u;
    sleep_init(SOURCE);
}

uint8_t uart_get(void)
{
    while (RECEIVED == 0u) {
        sleep_again(SOURCE);
        if (RECEIVED == 0u) sleep_now();
    }
    RECEIVED = 0u; /* before the read: reading brings the next byte up, and with it the event */
    return (uint8_t)RECEIVE;
}

void uart_put(const uint8_t *bytes, size_t n)
{
    for (size_t k = 0; k < n; k++) {
        TRANSMITTED = 0u;
        TRANSMIT = bytes[k];
        while (TRANSMITTED == 0u) {}
    }
}
