/*
 * Winding and legs alone, the equations of src/plant/winding.ts, bridge.ts and shaft.ts (turnFrame) in their order, for
 * three driven legs. Every number comes from winding-work.ts as -D. Prints one line: the nanoseconds per step of each
 * batch, then where the run ended (current and flux, alpha and beta), to be compared with the TypeScript.
 */
#define _POSIX_C_SOURCE 199309L
#include <stdio.h>
#include <time.h>

#ifndef BATCHES
#define BATCHES 10
#endif

#define GAUSS 0.28867513459481287
#define ROOT_3_HALF 0.8660254037844386

/* Volatile: in the plant the speed is a variable, so nothing that follows from it may be computed ahead. */
static volatile double rotor_rad_s = ROTOR_RAD_S;
static double psi_a, psi_b, i0_a, i0_b, cos0, sin0;

static void begin(void)
{
    psi_a = MAGNET_WB;
    psi_b = i0_a = i0_b = sin0 = 0.0;
    cos0 = 1.0;
}

static double pole(int high, double i)
{
    return high ? LINK_V - RDS_OHM * i : -(RDS_OHM + SHUNT_OHM) * i;
}

static void step(int in_period)
{
    const int off = 2 * in_period - 49;
    const int far = off < 0 ? -off : off;
    const int on_a = far < HIGH_A, on_b = far < HIGH_B, on_c = far < HIGH_C;
    const double x0 = cos0 * psi_a + sin0 * psi_b - MAGNET_WB;
    const double q0 = cos0 * psi_b - sin0 * psi_a;
    const double rotor = rotor_rad_s;
    double ia = i0_a, ib = i0_b, pa, pb, c1, s1;
    for (int pass = 1;; pass++) {
        const double b = ROOT_3_HALF * ib;
        const double pole_a = pole(on_a, ia);
        const double pole_b = pole(on_b, b - 0.5 * ia);
        const double pole_c = pole(on_c, -b - 0.5 * ia);
        const double half = 0.25 * POLE_PAIRS * STEP_S * (rotor + rotor);
        const double q = half * half;
        const double sinc = 1 - q * (1.0 / 6 - q * (1.0 / 120 - q * (1.0 / 5040 - q * (1.0 / 362880))));
        const double ch = 1 - q * (0.5 - q * (1.0 / 24 - q * (1.0 / 720 - q * (1.0 / 40320))));
        const double sh = half * sinc;
        const double cm = cos0 * ch - sin0 * sh;
        const double sm = sin0 * ch + cos0 * sh;
        const double va = (2 * pole_a - pole_b - pole_c) * 0.3333333333333333;
        const double vb = (pole_b - pole_c) * 0.5773502691896258;
        c1 = cm * ch - sm * sh;
        s1 = sm * ch + cm * sh;
        pa = psi_a + STEP_S * (va - R_OHM * ia);
        pb = psi_b + STEP_S * (vb - R_OHM * ib);
        if (pass == PASSES) break;
        const double dx = c1 * pa + s1 * pb - MAGNET_WB - x0;
        const double dq = c1 * pb - s1 * pa - q0;
        const double xg = x0 + (0.5 - GAUSS) * dx, xf = x0 + (0.5 + GAUSS) * dx;
        const double qg = q0 + (0.5 - GAUSS) * dq, qf = q0 + (0.5 + GAUSS) * dq;
        const double id = 0.5 * (xg * (GD + xg * (SAT_D2 + SAT_D3 * xg)) + xf * (GD + xf * (SAT_D2 + SAT_D3 * xf)) +
                                 SAT_CROSS * (qg * qg + qf * qf));
        const double iq = 0.5 * (qg * (GQ + SAT_Q3 * qg * qg + 2 * SAT_CROSS * xg) +
                                 qf * (GQ + SAT_Q3 * qf * qf + 2 * SAT_CROSS * xf));
        ia = ch * (cm * id - sm * iq);
        ib = ch * (sm * id + cm * iq);
    }
    const double x = c1 * pa + s1 * pb - MAGNET_WB;
    const double q = c1 * pb - s1 * pa;
    const double id = x * (GD + x * (SAT_D2 + SAT_D3 * x)) + SAT_CROSS * q * q;
    const double iq = q * (GQ + SAT_Q3 * q * q + 2 * SAT_CROSS * x);
    const double f = 1.5 - 0.5 * (c1 * c1 + s1 * s1);
    i0_a = c1 * id - s1 * iq;
    i0_b = s1 * id + c1 * iq;
    psi_a = pa;
    psi_b = pb;
    cos0 = c1 * f;
    sin0 = s1 * f;
}

int main(void)
{
    for (int batch = -2; batch < BATCHES; batch++) {
        struct timespec from, to;
        begin();
        clock_gettime(CLOCK_MONOTONIC, &from);
        for (long k = 0, n = 0; k < STEPS; k++) {
            step((int)n);
            n = n == 49 ? 0 : n + 1;
        }
        clock_gettime(CLOCK_MONOTONIC, &to);
        const double took_ns = (double)(to.tv_sec - from.tv_sec) * 1e9 + (double)(to.tv_nsec - from.tv_nsec);
        if (batch >= 0) printf("%.4f ", took_ns / STEPS);
    }
    printf("end %.17g %.17g %.17g %.17g\n", i0_a, i0_b, psi_a, psi_b);
    return 0;
}
