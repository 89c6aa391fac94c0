/*
 * Test program behind the listings of TIME.md: runs each over ticks, gaps and the wrap of the counter. One line a result.
 */
#include <stdio.h>

static unsigned feeds;
static unsigned pushes;
static int bytes_left = 3;

int uart_has_byte(void) { return bytes_left > 0; }
uint8_t uart_byte(void) { bytes_left--; return 0; }
void watchdog_feed(void) { feeds++; }
int board_push(uint8_t byte) { pushes++; return byte != 0; }

int main(void)
{
    tick_clock c = {0xFFFFFFFEu};
    printf("clock");
    const uint32_t ticks[] = {0xFFFFFFFFu, 0u, 5u, 6u};
    for (int k = 0; k < 4; k++) printf(" %u", (unsigned)tick_clock_step(&c, ticks[k]));

    for (int k = 0; k < 10; k++) main_loop_once();
    printf("\nloop %u %u\n", feeds, pushes);

    sample_watch w = {0};
    sample_watch_step(&w, 3u);
    printf("missed %d", w.open);
    sample_watch_step(&w, 4u);
    printf(" %d\n", w.open);

    float one = 0.0f, gaps = 0.0f;
    for (int k = 0; k < 20000; k++) ramp_step(&one, 100.0f, 50.0f, 1u);
    for (int k = 0; k < 5000; k++) ramp_step(&gaps, 100.0f, 50.0f, 4u);
    printf("ramp %.9g %.9g", (double)one, (double)gaps);
    for (int k = 0; k < 3; k++) ramp_step(&gaps, 0.0f, 400000.0f, 1u);
    printf(" %.9g\n", (double)gaps);

    float filter = 0.0f, again = 0.0f;
    for (int k = 0; k < 8; k++) low_pass_step(&filter, 1.0f, 0.1f, 1u);
    const int kept = low_pass_step(&again, 1.0f, 0.1f, 8u);
    const int lost = low_pass_step(&again, 7.0f, 0.1f, 9u);
    printf("filter %.9g %d %d %.9g\n", (double)filter, kept, lost, (double)again);

    debouncer d = {0, 0};
    int first = 0;
    for (int k = 1; k <= 400 && first == 0; k++) {
        const uint8_t raw = (uint8_t)(k < 50 ? k & 1 : 1); /* bounces for 50 ticks, then stands */
        if (debouncer_step(&d, raw, 1u)) first = k;
    }
    debouncer_step(&d, 0, 99u);
    printf("debounced %d %d", first, d.level);
    printf(" %d\n", debouncer_step(&d, 0, 1u));

    heat_model h = {0, 0.0f}, coarse = {0, 0.0f};
    for (int k = 0; k < 300000; k++) heat_model_step(&h, 96.0f, 1u);
    for (int k = 0; k < 100000; k++) heat_model_step(&coarse, 96.0f, 3u);
    printf("heat %.9g %.9g\n", (double)h.rise_K, (double)coarse.rise_K);

    later l = {10};
    int after = 0, fired = 0;
    for (int k = 1; k <= 20; k++) {
        if (later_step(&l, 1u)) {
            after = k;
            fired++;
        }
    }
    l.ticks = 10;
    printf("later %d %d %d %d\n", after, fired, later_step(&l, 25u), later_step(&l, 25u));
    return 0;
}
