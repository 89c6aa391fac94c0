/* Sector and speed from Hall codes; see hall_speed.h. */
#include "hall_speed.h"

#include <string.h>

#define STILL_S 0.1f        /* [s] without an edge for this long the rotor counts as still */
#define WINDOW_S 0.004f     /* [s] edges are averaged over a whole electrical turn, but no longer than this */
#define SHORTEST_S 20e-6f   /* [s] 52 000 rad/s electrical, five times the top speed: less is a disturbance */
#define PREDICT_RAD_S 300.0f /* [rad/s] electrical; below it an edge says little about where the rotor is now */
#define PREDICT_MOST_RAD 1.8f /* [rad] no more than the next sector and a bit: the speed may have fallen meanwhile */

/* Sector of a code A + 2 B + 4 C. */
static const int8_t sector_of_code[8] = {-1, 0, 2, 1, 4, 5, 3, -1};

static void forget_speed(hall_speed *h)
{
    h->mean_rad_s = 0.0f;
    h->count = 0;
}

void hall_speed_reset(hall_speed *h)
{
    memset(h, 0, sizeof *h);
    h->sector = -1;
    h->since_s = STILL_S;
}

static void push_interval(hall_speed *h, float interval_s)
{
    h->newest = (uint8_t)((h->newest + 1u) % HALL_SECTORS);
    h->interval_s[h->newest] = interval_s > SHORTEST_S ? interval_s : SHORTEST_S;
    if (h->count < HALL_SECTORS) h->count++;

    /* A whole turn cancels sensors that sit a few degrees off; slow edges are not averaged, lest the loop lag. */
    float sum_s = h->interval_s[h->newest];
    uint8_t n = 1;
    while (n < h->count) {
        const float next_s = h->interval_s[(h->newest + HALL_SECTORS - n) % HALL_SECTORS];
        if (sum_s + next_s > WINDOW_S) break;
        sum_s += next_s;
        n++;
    }
    h->mean_rad_s = (float)n * HALL_SECTOR_RAD / sum_s;
}

static void take_edge(hall_speed *h, int8_t sector, float before_s, float age_s, float elapsed_s)
{
    const int step = h->sector < 0 ? 0 : (sector - h->sector + HALL_SECTORS) % HALL_SECTORS;
    if (step == 1 || step == HALL_SECTORS - 1) {
        const int8_t sense = step == 1 ? 1 : -1;
        if (sense != h->sense || before_s >= STILL_S) {
            forget_speed(h);
        } else {
            /* From edge to edge: age of the old one at the last tick, plus the tick, less the age of the new one. */
            push_interval(h, before_s + elapsed_s - age_s);
        }
        h->sense = sense;
    } else {
        h->sense = 0; /* first code, or an edge was missed: position known, speed not */
        forget_speed(h);
    }
    /* Before the first code nothing is known of an edge; a moving rotor will show one soon enough. */
    h->since_s = h->sector < 0 ? STILL_S : age_s;
    h->sector = sector;
}

void hall_speed_update(hall_speed *h, uint8_t code, float age_s, float elapsed_s)
{
    const int8_t sector = sector_of_code[code & 7u];
    const float before_s = h->since_s;
    h->valid = sector >= 0;
    h->since_s = before_s + elapsed_s < STILL_S ? before_s + elapsed_s : STILL_S;
    if (sector >= 0 && sector != h->sector) {
        take_edge(h, sector, before_s, age_s < elapsed_s ? age_s : elapsed_s, elapsed_s);
    }
    if (h->since_s >= STILL_S) forget_speed(h);

    /* No edge for t means that the rotor has turned by less than one sector in t. */
    float magnitude = h->mean_rad_s;
    if (magnitude * h->since_s > HALL_SECTOR_RAD) magnitude = HALL_SECTOR_RAD / h->since_s;
    h->speed_rad_s = h->sense < 0 ? -magnitude : magnitude;
}

int8_t hall_speed_sector_ahead(const hall_speed *h, float ahead_s, float advance_rad)
{
    const float magnitude = h->speed_rad_s < 0.0f ? -h->speed_rad_s : h->speed_rad_s;
    if (magnitude < PREDICT_RAD_S) return h->sector;
    float turned_rad = magnitude * (h->since_s + ahead_s) + advance_rad;
    if (turned_rad > PREDICT_MOST_RAD) turned_rad = PREDICT_MOST_RAD;
    const int sectors = (int)(turned_rad / HALL_SECTOR_RAD);
    return (int8_t)((h->sector + HALL_SECTORS + (h->sense < 0 ? -sectors : sectors)) % HALL_SECTORS);
}
