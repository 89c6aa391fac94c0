/*
 * start.c: from reset to main on a Cortex-M: vector table, RAM, floating point.
 *
 * SOURCE of the register addresses and of the order of the vectors: the architecture reference manuals ARMv6-M and
 * ARMv7-M, from memory.
 */
#include <stdint.h>

#include "uart.h"

/* Set by the linker script. */
extern uint32_t data_begin[], data_end[], data_image[], bss_begin[], bss_end[], stack_top[];

int main(void);
void reset(void);

/* Nothing here may fault, so a fault stops the board where a debugger finds it; the drill sees a missing answer. */
static void halt(void)
{
    for (;;) __asm__ volatile("wfi");
}

void reset(void)
{
#ifdef __ARM_FP
    volatile uint32_t *const cpacr = (volatile uint32_t *)0xE000ED88u;
    *cpacr |= 0xFu << 20; /* coprocessors 10 and 11: the floating-point unit */
    __asm__ volatile("dsb\n\tisb" ::: "memory");
#endif
    const uint32_t *from = data_image;
    for (uint32_t *to = data_begin; to < data_end;) *to++ = *from++;
    for (uint32_t *to = bss_begin; to < bss_end;) *to++ = 0;
    main();
    halt();
}

/* Of the table only the first 16 entries are used: interrupts wake the processor and are never taken. */
typedef union vector {
    void (*call)(void);
    uint32_t *stack;
} vector;

__attribute__((section(".vectors"), used)) static const vector vectors[16] = {
    {.stack = stack_top},
    {.call = reset},
    {.call = halt}, /* non-maskable interrupt */
    {.call = halt}, /* hard fault */
    {.call = halt}, {.call = halt}, {.call = halt}, /* memory, bus, usage fault */
};
