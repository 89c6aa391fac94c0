/**
 * Amplitude of a line at a multiple of the electrical frequency, such as 1 for the sight of an offset and 6 for dead time.
 *
 * Method  the signal over the electrical rotor angle, so that a line stays a line while the speed drifts: weighted least
 *         squares of a constant, a cosine and a sine over whole turns, weights of a Hann window in the angle.
 * Leakage of a component whose order is d away from the one asked for: over M turns the window lets pass at most
 *         1 / (pi dM ((dM)^2 - 1)) of its amplitude, and nothing when dM is whole. The result tells it for d = 1.
 * Bounds  at least 8 turns; turns that take the same time within 10 %; less than 0.45 of the sampling rate, since what lies
 *         above half of it is seen as another order. Beyond these bounds there is no number.
 * Source  leakage of the Hann window from its transform, sin(pi x) / (pi x (1 - x^2)): computed from the definition.
 */
import { SIGNAL_INDEX } from '../../signals.ts';
import { type CheckKind, type Finding, type Follower, NOW, type RunOf, VALUE } from './kind.ts';
import type { CheckSpec } from './spec.ts';
import { signalUnit } from './unit.ts';

export const TURNS_LEAST = 8;
export const SPREAD_MOST = 0.1;
const SAMPLING_SHARE = 0.45;
const LONGEST_S = 2;
const TURN_RAD = 2 * Math.PI;

class Line implements Follower {
  private readonly order: number;
  private readonly tick_s: number;
  private readonly angles: Float64Array;
  private readonly values: Float64Array;
  private count = 0;
  private end_s = Number.NaN;

  constructor({ order = 1 }: CheckSpec, { tick_s, longest_s }: RunOf) {
    this.order = order;
    this.tick_s = tick_s;
    const most = tick_s > 0 ? Math.ceil(Math.min(longest_s, LONGEST_S) / tick_s) + 2 : 0;
    this.angles = new Float64Array(most);
    this.values = new Float64Array(most);
  }

  see(at: Float64Array, sample: Float64Array): void {
    const angle = sample[SIGNAL_INDEX.rotorAngle];
    const { angles, count } = this;
    if (count >= angles.length) return;
    const before = count > 0 ? angles[count - 1] : angle;
    const ahead = angle - before;
    angles[count] = before + ahead - TURN_RAD * Math.round(ahead / TURN_RAD);
    this.values[count] = at[VALUE];
    this.count = count + 1;
    this.end_s = at[NOW];
  }

  finding(): Finding {
    const { angles, values, count, order, tick_s, end_s: at_s } = this;
    const none = (why: string): Finding => ({ value: Number.NaN, at_s: Number.NaN, why });
    const used = wholeTurns(angles, count);
    const backwards = count > 1 && angles[count - 1] < angles[0];
    if (used.turns < TURNS_LEAST) {
      return none(`${used.turns} electrical turns in the window; allowed are ${TURNS_LEAST} or more`);
    }
    if (used.spread > SPREAD_MOST) {
      return none(`the speed varies by ${percent(used.spread)}; allowed are ${percent(SPREAD_MOST)}`);
    }
    const perSecond = used.turns / (used.ticks * tick_s);
    if (order * perSecond * tick_s > SAMPLING_SHARE) {
      const at = `order ${order} lies at ${Math.round(order * perSecond)} Hz`;
      return none(`${at}; allowed is less than ${Math.round(SAMPLING_SHARE / tick_s)} Hz, at that sampling`);
    }
    const note = `over ${used.turns} turns; speed varies by ${percent(used.spread)}; leaks at most ${leakage(used.turns)}`;
    return { value: amplitude(angles, values, used, order, backwards ? -1 : 1), at_s, note };
  }
}

interface Turns {
  /** Whole electrical turns. */ readonly turns: number;
  /** First sample that is not in them. */ readonly end: number;
  /** Ticks that they took. */ readonly ticks: number;
  /** Difference of the longest and the shortest over the mean; infinite when the rotor turned both ways. */
  readonly spread: number;
}

/** Goes through the turns that are whole, and how long each of them took. */
function wholeTurns(angles: Float64Array, count: number): Turns {
  const sign = count > 1 && angles[count - 1] < angles[0] ? -1 : 1;
  let turns = 0;
  let end = 0;
  let begun = 0;
  let shortest = Number.POSITIVE_INFINITY;
  let longest = 0;
  let backwards = false;
  for (let k = 1; k < count; k++) {
    const step = sign * (angles[k] - angles[k - 1]);
    if (step < 0) backwards = true;
    const gone = sign * (angles[k] - angles[0]);
    if (gone < (turns + 1) * TURN_RAD || step <= 0) continue;
    const crossed = k - (gone - (turns + 1) * TURN_RAD) / step;
    shortest = Math.min(shortest, crossed - begun);
    longest = Math.max(longest, crossed - begun);
    begun = crossed;
    end = k;
    turns++;
  }
  const spread = backwards ? Number.POSITIVE_INFINITY : turns > 0 ? ((longest - shortest) * turns) / begun : 0;
  return { turns, end, ticks: begun, spread };
}

/** Weighted least squares of constant, cosine and sine; returns the amplitude of the two. */
function amplitude(
  angles: Float64Array,
  values: Float64Array,
  { turns, end }: Turns,
  order: number,
  sign: number,
): number {
  const normal = new Float64Array(12);
  const row = new Float64Array(3);
  for (let k = 0; k <= end; k++) {
    const angle = sign * (angles[k] - angles[0]);
    const spacing = sign * (angles[Math.min(k + 1, end)] - angles[Math.max(k - 1, 0)]);
    const weight = spacing * (1 - Math.cos(Math.min(angle / turns, TURN_RAD)));
    row[0] = 1;
    row[1] = Math.cos(order * angle);
    row[2] = Math.sin(order * angle);
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) normal[4 * i + j] += weight * row[i] * row[j];
      normal[4 * i + 3] += weight * row[i] * values[k];
    }
  }
  for (let i = 0; i < 3; i++) {
    for (let down = 0; down < 3; down++) {
      if (down === i) continue;
      const share = normal[4 * down + i] / normal[4 * i + i];
      for (let j = 0; j < 4; j++) normal[4 * down + j] -= share * normal[4 * i + j];
    }
  }
  return Math.hypot(normal[7] / normal[5], normal[11] / normal[10]);
}

/** Largest share that leaks over from an order one away. */
export const leakageShare = (turns: number): number => 1 / (Math.PI * turns * (turns * turns - 1));

const leakage = (turns: number): string => `${leakageShare(turns).toExponential(1)} of another order`;
const percent = (share: number): string => (Number.isFinite(share) ? `${(100 * share).toPrecision(2)} %` : 'both ways');

export const ORDER: CheckKind = Object.freeze<CheckKind>({
  takes: { order: 'amplitude at a multiple (order) of the electrical frequency, over a window of steady speed' },
  keys: ['signal', 'order'],
  needs: [['signal'], ['order']],
  againstTwin: true,
  longest_s: LONGEST_S,
  unit: signalUnit,
  follow: (spec, run) => new Line(spec, run),
});
