/**
 * Shows the kernel every branch it has before an engine compiles it.
 *
 * An engine compiles a hot function for the branches it has seen. One that is first taken much later, a diode that runs
 * empty, a clutch that slips, throws the compiled code away, and V8 then goes on with code that is fast only inside
 * the loop: steps took five times as long. Some thousand steps through made-up states at the start avoid that. They work
 * on vectors of their own; no plant sees them.
 */
import { integrate, PROBE, RUN, TAKE } from './kernel.ts';
import type { KernelMap } from './kernel-map.ts';
import { nextState, seedState } from './random.ts';
import { SLOTS, type SlotName, slot } from './slots.ts';
import { bookStretch, prepareStretch } from './stretch.ts';
import { WORK_LENGTH, type WorkName, work } from './work.ts';

const ROUNDS = 3000;
const TASKS = [RUN, RUN, RUN, TAKE, PROBE];

const PLAY_RAD = 0.026;
const TURNING: readonly SlotName[] = ['rotorSpeed', 'chuckSpeed', 'bodySpeed', 'twistRate'];

let primed = false;

/** Made-up states: every range reaches across the branches that depend on it. */
const STATES: readonly (readonly [SlotName, number, number])[] = [
  ['psiAlpha', -2, 2],
  ['psiBeta', -2, 2],
  ['iAlpha', -50, 50],
  ['iBeta', -50, 50],
  ['rotorSpeed', -50, 50],
  ['chuckSpeed', -1, 1],
  ['bodySpeed', -0.5, 0.5],
  ['twist', -0.05, 0.05],
  ['chuckAngle', -1, 1],
  ['capacitor', 5, 60],
  ['packCurrent', -10, 10],
  ['floatPole', -5, 25],
];
const CONSTANTS: readonly (readonly [WorkName, number, number])[] = [
  ['emfCells', 10, 20],
  ['slipLimit', 0, 0.03],
  ['bound', 0, 0.3],
  ['drag', 0, 1e-4],
  ['hand', -5, 5],
  ['loadLow', -3, 1],
  ['loadHigh', -1, 3],
  ['loadLowSlope', -1, 1],
  ['loadHighSlope', -1, 1],
  ['wall', -2, 4],
  ['meshForth', 0, 0.1],
  ['meshBack', 0, 0.1],
];

/** Primes the kernel once for all plants of this program. */
export function primeKernel(map: KernelMap): void {
  if (primed) return;
  primed = true;
  const x = new Float64Array(SLOTS.length);
  const w = new Float64Array(WORK_LENGTH);
  let seed = seedState(1);
  const draw = (low: number, high: number): number => {
    seed = nextState(seed);
    return low + ((high - low) * seed) / 4294967296;
  };
  const pick = (count: number): number => Math.floor(draw(0, count));
  for (let round = 0; round < ROUNDS; round++) {
    for (const [name, low, high] of STATES) x[slot(name)] = draw(low, high);
    for (const [name, low, high] of CONSTANTS) w[work(name)] = draw(low, high);
    if (pick(2) === 0) {
      // Chuck about to stick, to the body or to the work.
      x[slot('twist')] = 0;
      x[slot('twistRate')] = 0;
      x[slot('chuckSpeed')] = (pick(2) === 0 ? x[slot('bodySpeed')] : 0) + draw(-5e-4, 5e-4);
    }
    // Teeth about to meet or to part; or nothing turns at all.
    if (pick(4) === 0) x[slot('twist')] = (pick(2) === 0 ? PLAY_RAD : -PLAY_RAD) + draw(-3e-6, 3e-6);
    if (pick(8) === 0) for (const name of TURNING) x[slot(name)] = 0;
    x[slot('psiAlpha')] *= map.magnet_Wb;
    x[slot('psiBeta')] *= map.magnet_Wb;
    x[slot('cos')] = 0.6;
    x[slot('sin')] = 0.8;
    x[slot('slotCos')] = 0.8;
    x[slot('slotSin')] = 0.6;
    x[slot('magnet')] = map.magnet_Wb;
    w[work('body')] = pick(2) === 0 ? map.body_kgm2 : Number.POSITIVE_INFINITY;
    x[slot('avalanche')] = pick(7) === 0 ? 1 : 0;
    x[slot('stepsLeft')] = 3;
    x[slot('stepLength')] = 1e-6;
    x[slot('stretchEnd')] = 3e-6;
    w[work('part')] = 1e-6;
    w[work('packOhm')] = 0.05;
    w[work('closed')] = pick(2);
    w[work('windingOhm')] = map.r_ohm;
    w[work('perRatio')] = pick(9) === 0 ? 0 : 0.07;
    w[work('play')] = pick(9) === 0 ? 1e9 : PLAY_RAD;
    w[work('topRail')] = 1;
    w[work('topV')] = 0.7;
    w[work('lowV')] = -0.7;
    w[work('turns')] = pick(5) === 0 ? 0.1 : 0;
    w[work('loopOhm')] = 0.01;
    x[slot('loopHenry')] = 4e-8;
    x[slot('loopCurrent')] = w[work('turns')] > 0 ? draw(-20, 20) : 0;
    primeLegs(w, pick(5) - 1, pick(512));
    prepareStretch(x, w, map);
    if (pick(4) === 0) w[work('again')] = 1;
    integrate(x, w, map, TASKS[pick(TASKS.length)], 1 + pick(3));
    bookStretch(x, w, map);
  }
}

/** Legs on a rail, on a diode, or blocked; the bits of `how` say which. */
function primeLegs(w: Float64Array, blocked: number, how: number): void {
  w[work('blocked')] = blocked;
  for (let k = 0; k < 3; k++) {
    const mode = (how >> (3 * k)) & 7;
    const off = blocked === k || (blocked === 3 && mode < 6);
    const diode = off || mode < 4 ? 0 : mode < 6 ? 1 : -1;
    w[work('signA') + k] = diode;
    w[work('railA') + k] = !off && (diode > 0 || (diode === 0 && mode % 2 === 0)) ? 1 : 0;
    w[work('offsetA') + k] = 0.7 * diode;
    w[work('legA') + k] = off ? 0 : 0.002;
    w[work('shuntA') + k] = 0;
    w[work('acrossA') + k] = 0;
  }
}
