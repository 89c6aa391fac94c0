/* Test program: sines and cosines of the kit. Reads float32 angles on standard input, writes sine and cosine of each. */
#include <stdio.h>

#include "rotor_angle.h"

int main(void)
{
    float rad;
    while (fread(&rad, sizeof rad, 1, stdin) == 1) {
        const rotation r = angle_rotation(rad);
        fwrite(&r, sizeof r, 1, stdout);
    }
    return 0;
}
