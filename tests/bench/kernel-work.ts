/**
 * Winding, legs, link and mechanics alone: the kernel of the plant, driven as a machine at speed, in TypeScript and in C.
 * Both choose the legs from the rotor angle, run 12 steps with them and 38 with all legs low, and must end alike.
 */
import { W, X } from '../../src/plant/columns.ts';
import { integrate, RUN } from '../../src/plant/kernel.ts';
import type { KernelMap } from '../../src/plant/kernel-map.ts';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { bookStretch, prepareStretch } from '../../src/plant/stretch.ts';
import type { Work } from './measure.ts';

export const STRETCHES = 8000;
export const ACTIVE = 12;
export const IDLE = 38;
const STEP_S = 1e-6;

export interface KernelStart {
  readonly x: Float64Array;
  readonly w: Float64Array;
  readonly map: KernelMap;
}

/** State and scratch of the bench drill in the low gear, a hand on the chuck, at speed. */
function start(): KernelStart {
  const plant = new Plant(BENCH_18, { seed: 20, h_s: STEP_S, rotorAngle_rad: 0.3 });
  plant.hands.set('gear', 1);
  plant.hands.set('trigger', 1);
  plant.hands.set('grip', 3);
  for (let k = 0; k < 600; k++) plant.runPeriod();
  const both = plant.snapshot();
  const x = both.slice(0, plant.state.length);
  const w = both.slice(plant.state.length);
  x[X.rotor] = 500;
  w[W.blocked] = -1;
  for (let k = 0; k < 3; k++) {
    w[W.offset + k] = 0;
    w[W.leg + k] = 0.002;
    w[W.sign + k] = 0;
  }
  x[X.length] = STEP_S;
  w[W.part] = STEP_S;
  prepareStretch(x, w, plant.map);
  bookStretch(x, w, plant.map);
  return { x, w, map: plant.map };
}

/** Legs whose phase axis points along the q axis are high, the others low; the same words in C below. */
function setLegs(x: Float64Array, w: Float64Array): void {
  const a = -x[X.sin];
  const r = 0.8660254037844386 * x[X.cos];
  w[W.rail] = a > 0 ? 1 : 0;
  w[W.rail + 1] = r - 0.5 * a > 0 ? 1 : 0;
  w[W.rail + 2] = -r - 0.5 * a > 0 ? 1 : 0;
}

export function kernelWork(): Work & { readonly begun: KernelStart; end(): Float64Array } {
  const begun = start();
  const x = begun.x.slice();
  const w = begun.w.slice();
  return {
    steps: (STRETCHES / 2) * (ACTIVE + IDLE),
    begun,
    begin: () => {
      x.set(begun.x);
      w.set(begun.w);
    },
    run: () => {
      for (let n = 0; n < STRETCHES; n += 2) {
        setLegs(x, w);
        x[X.left] = ACTIVE;
        integrate(x, w, begun.map, RUN, ACTIVE);
        w[W.rail] = 0;
        w[W.rail + 1] = 0;
        w[W.rail + 2] = 0;
        x[X.left] = IDLE;
        integrate(x, w, begun.map, RUN, IDLE);
      }
    },
    end: () => x,
  };
}

/** The main program of the C twin. */
export function mainInC({ x, w, map }: KernelStart, members: readonly string[]): string {
  const numbers = (list: Iterable<number>) =>
    [...list].map((v) => (Number.isFinite(v) ? v.toExponential(17) : v > 0 ? '1e300' : '-1e300')).join(', ');
  const values = members.map((name) => (map as unknown as Record<string, number>)[name]);
  return `
#define _POSIX_C_SOURCE 199309L
#include <stdio.h>
#include <string.h>
#include <time.h>
static const double X0[] = { ${numbers(x)} };
static const double W0[] = { ${numbers(w)} };
static const struct map MAP = { ${numbers(values)} };
static double x[sizeof X0 / sizeof X0[0]], w[sizeof W0 / sizeof W0[0]];

static void run(const struct map *map)
{
    for (int n = 0; n < ${STRETCHES}; n += 2) {
        const double a = -x[${X.sin}], r = 0.8660254037844386 * x[${X.cos}];
        w[${W.rail}] = a > 0 ? 1 : 0;
        w[${W.rail + 1}] = r - 0.5 * a > 0 ? 1 : 0;
        w[${W.rail + 2}] = -r - 0.5 * a > 0 ? 1 : 0;
        x[${X.left}] = ${ACTIVE};
        integrate(x, w, map, 0, ${ACTIVE});
        w[${W.rail}] = w[${W.rail + 1}] = w[${W.rail + 2}] = 0;
        x[${X.left}] = ${IDLE};
        integrate(x, w, map, 0, ${IDLE});
    }
}

int main(void)
{
    for (int batch = -2; batch < BATCHES; batch++) {
        struct timespec from, to;
        memcpy(x, X0, sizeof x);
        memcpy(w, W0, sizeof w);
        clock_gettime(CLOCK_MONOTONIC, &from);
        run(&MAP);
        clock_gettime(CLOCK_MONOTONIC, &to);
        const double ns = (double)(to.tv_sec - from.tv_sec) * 1e9 + (double)(to.tv_nsec - from.tv_nsec);
        if (batch >= 0) printf("%.4f ", ns / ${(STRETCHES / 2) * (ACTIVE + IDLE)});
    }
    printf("end");
    for (unsigned n = 0; n < sizeof x / sizeof x[0]; n++) printf(" %.17g", x[n]);
    return 0;
}
`;
}
