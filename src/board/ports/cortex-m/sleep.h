/* sleep.h: waits for one interrupt source without taking it. Addresses: ARMv6-M and ARMv7-M manuals, from memory. */
#ifndef SLEEP_H
#define SLEEP_H

#include <stdint.h>

#define NVIC_ENABLE (*(volatile uint32_t *)0xE000E100u)        /* sources 0 to 31, 1 enables */
#define NVIC_CLEAR_PENDING (*(volatile uint32_t *)0xE000E280u) /* sources 0 to 31, 1 clears */

/* Lets a source end a WFI; its handler is never called, because the processor masks all of them. */
static inline void sleep_init(uint32_t source)
{
    __asm__ volatile("cpsid i" ::: "memory");
    NVIC_ENABLE = 1u << source;
}

/* Sleeps until a source is pending; returns at once when one is. */
static inline void sleep_now(void)
{
    __asm__ volatile("dsb\n\twfi" ::: "memory");
}

/* Forgets what was pending. Look at the device afterwards: it may have raised the source in between. */
static inline void sleep_again(uint32_t source)
{
    NVIC_CLEAR_PENDING = 1u << source;
}

#endif /* SLEEP_H */
