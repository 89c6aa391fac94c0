/*
 * starter_board.h: the board that the starter is built for. Replace these numbers with those of your schematic; the
 * drill takes them from Hello and makes its counts accordingly.
 */
#ifndef STARTER_BOARD_H
#define STARTER_BOARD_H

#define BOARD_PWM_HZ 20000.0f             /* [Hz] one tick per PWM period */
#define BOARD_BITS 12u                    /* of the converter */
#define BOARD_RANGE_COUNTS 4096.0f        /* [count] 12 bit converter */
#define BOARD_REFERENCE_V 3.3f            /* [V] of the converter */
#define BOARD_SHUNT_OHM 0.0005f           /* [ohm] one low-side shunt per leg */
#define BOARD_SHUNT_GAIN 20.0f            /* of the amplifier; zero current sits at mid-scale */
#define BOARD_LINK_DIVIDER 11.0f          /* link voltage over converter voltage */
#define BOARD_CURRENT_ZERO_COUNTS 2048.0f /* [count] */
#define BOARD_TRIGGER_LOW_COUNTS 410.0f   /* [count] released */
#define BOARD_TRIGGER_HIGH_COUNTS 3686.0f /* [count] pulled fully */
#define BOARD_OVER_CURRENT_A 120.0f       /* [A] a sample beyond this opens all legs; illustrative, as the next two */
#define BOARD_LINK_HIGH_V 25.0f           /* [V] trips above */
#define BOARD_LINK_LOW_V 8.0f             /* [V] does not drive below */

#define BOARD_CURRENT_PER_COUNT_A (BOARD_REFERENCE_V / BOARD_RANGE_COUNTS / (BOARD_SHUNT_OHM * BOARD_SHUNT_GAIN))
#define BOARD_LINK_PER_COUNT_V (BOARD_REFERENCE_V / BOARD_RANGE_COUNTS * BOARD_LINK_DIVIDER)

#endif /* STARTER_BOARD_H */
