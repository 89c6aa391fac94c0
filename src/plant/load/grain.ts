/**
 * Wood is not the same from place to place: a factor around 1 that changes along the depth.
 *
 * Model   straight lines between values drawn from the seed, one every `grain` of depth; bounded by the generator
 *         (3.5 deviations) and kept above a tenth. What was passed once is not drawn again on the way back.
 */
import { drawBell } from '../random.ts';
import { slot } from '../slots.ts';

const SEED = slot('seed');
const FROM = slot('grainFrom');
const TO = slot('grainTo');
const AT = slot('grainAt');

/** Forgets the last piece of work. */
export function newGrain(x: Float64Array): void {
  x[FROM] = 0;
  x[TO] = 0;
  x[AT] = -1;
}

/** Factor on the torque at a depth [m]; draws once for each `grain_m` of new depth, at most a few of them at a time. */
export function grainAt(x: Float64Array, depth_m: number, scatter: number, grain_m: number): number {
  if (scatter === 0) return 1;
  const laps = depth_m / grain_m;
  const lap = Math.floor(laps);
  for (let n = 0; x[AT] < lap && n < 4; n++) {
    x[FROM] = x[TO];
    x[TO] = drawBell(x, SEED);
    x[AT] = n === 3 ? lap : x[AT] + 1;
  }
  const place = lap < x[AT] ? 0 : laps - lap;
  return Math.max(0.1, 1 + scatter * (x[FROM] + (x[TO] - x[FROM]) * place));
}

/** A factor around 1 for one piece of work. */
export function drawShare(x: Float64Array, scatter: number): number {
  return scatter === 0 ? 1 : Math.max(0.1, 1 + scatter * drawBell(x, SEED));
}
