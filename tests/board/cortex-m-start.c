/* For tests: answers every byte with what the start-up code has left in memory, and changes it. */
#include <string.h>

#include "uart.h"

static volatile uint32_t set = 0x12345678u;
static volatile uint32_t zero;
static volatile float three = 3.0f;

int main(void)
{
    uart_init();
    for (;;) {
        const float share = (float)uart_get() / three;
        const uint32_t words[2] = {set, zero};
        uint8_t out[12];
        memcpy(out, words, 8);
        memcpy(out + 8, &share, 4);
        uart_put(out, sizeof out);
        set++;
        zero--;
    }
}
