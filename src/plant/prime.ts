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

const ROUNDS = 1500;
const TASKS = [RUN, RUN, RUN, TAKE, PROBE];

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
  for (let round = 0; round < ROUNDS; round++) {
    for (const [name, low, high] of STATES) x[slot(name)] = draw(low, high);
    for (const [name, low, high] of CONSTANTS) w[work(name)] = draw(low, high);
    if (round % 2 === 0) {
      // Chuck about to stick, to the body or to the work.
      x[slot('twist')] = 0;
      x[slot('twistRate')] = 0;
      x[slot('chuckSpeed')] = (round % 4 === 0 ? x[slot('bodySpeed')] : 0) + draw(-5e-4, 5e-4);
    }
    x[slot('psiAlpha')] *= map.magnet_Wb;
    x[slot('psiBeta')] *= map.magnet_Wb;
    x[slot('cos')] = 0.6;
    x[slot('sin')] = 0.8;
    x[slot('slotCos')] = 0.8;
    x[slot('slotSin')] = 0.6;
    x[slot('magnet')] = map.magnet_Wb;
    x[slot('wrist')] = round % 3;
    x[slot('avalanche')] = round % 7 === 0 ? 1 : 0;
    x[slot('shortedShare')] = round % 5 === 0 ? 0.05 : 0;
    x[slot('shortedOhm')] = 0.001;
    x[slot('stepsLeft')] = 3;
    x[slot('stepLength')] = 1e-6;
    x[slot('stretchEnd')] = 3e-6;
    w[work('part')] = 1e-6;
    w[work('packOhm')] = 0.05;
    w[work('closed')] = round % 2;
    w[work('windingOhm')] = map.r_ohm;
    w[work('perRatio')] = round % 11 === 0 ? 0 : 0.07;
    w[work('play')] = round % 13 === 0 ? 1e9 : 0.026;
    w[work('diode')] = 0.7;
    primeLegs(w, round);
    prepareStretch(x, w, map);
    integrate(x, w, map, TASKS[round % TASKS.length], 1 + (round % 3));
    bookStretch(x, w, map);
  }
}

/** Legs on a rail, on a diode, or blocked, in turns. */
function primeLegs(w: Float64Array, round: number): void {
  const blocked = (round % 5) - 1;
  w[work('blocked')] = blocked;
  for (let k = 0; k < 3; k++) {
    const off = blocked === k || (blocked === 3 && k !== round % 4);
    const diode = off || round % 2 === 0 ? 0 : ((round + k) % 3) - 1;
    w[work('signA') + k] = diode;
    w[work('railA') + k] = !off && (diode > 0 || (diode === 0 && (round >> k) % 2 === 0)) ? 1 : 0;
    w[work('offsetA') + k] = 0.7 * diode;
    w[work('legA') + k] = off ? 0 : 0.002;
    w[work('shuntA') + k] = 0;
    w[work('acrossA') + k] = 0;
  }
}
