/**
 * The current loop closed around an exact winding, with the period of delay that a board has.
 *
 * Source  open loop K_w / (z (z - 1)) at any speed, K_w = K times what a winding with resistance makes of a volt-second,
 *         (1 - a) L / (R T), a = exp(-R T / L): derived. With z^2 - z + K the poles have the size sqrt(K) from K = 0.25 on; the
 *         pole of the winding, 0.962 for 13 uH, stays in what a disturbance leaves. Largest poles at 1333 Hz: computed.
 *         Form: Briz, Degner, Lorenz, IEEE Trans. Ind. Appl. 36(3), 2000 (bibliography read).
 */
import { describe, expect, it } from 'vitest';
import type { MotorFacts } from '../../../src/control/motor-facts.ts';
import { CurrentLoop } from '../../../src/control/sensorless/current-loop.ts';
import { expectNear } from '../../support/near.ts';
import { ExactWinding } from './exact-winding.ts';
import { turn } from './flux-rig.ts';
import { FAST_RAD_S, PLAIN, TICK_S } from './motor-d.ts';

const L = 13e-6;
const ROUND: MotorFacts = { ...PLAIN, ld_H: L, lq_H: L };
const DECAY = Math.exp((-ROUND.r_ohm * TICK_S) / L);
/** What the winding makes of K. */
const GAIN_SHARE = ((1 - DECAY) * L) / (ROUND.r_ohm * TICK_S);

interface LoopCase {
  readonly motor?: MotorFacts;
  readonly known?: MotorFacts;
  readonly gain: number;
  readonly w: number;
  /** Periods by which the voltage is turned on; right is 1.5. */ readonly advance?: number;
  readonly most_V?: number;
}

class LoopRig {
  readonly winding: ExactWinding;
  readonly loop: CurrentLoop;
  private readonly c: LoopCase;
  private now: [number, number];

  /** In steady state without current. */
  constructor(c: LoopCase) {
    const { motor = ROUND, known = motor, w, advance = 1.5 } = c;
    this.c = c;
    this.winding = new ExactWinding(motor, w, 0.2, TICK_S);
    this.loop = new CurrentLoop(TICK_S, known);
    const held = this.winding.holding_V(0, 0);
    this.loop.preset(...turn(held, (1.5 - advance) * w * TICK_S));
    this.now = turn(held, this.winding.theta + 0.5 * w * TICK_S);
  }

  tick(id_A: number, iq_A: number): void {
    const { winding, loop } = this;
    const { gain, w, advance = 1.5, most_V = Number.POSITIVE_INFINITY } = this.c;
    loop.step(id_A - winding.id_A, iq_A - winding.iq_A, w, gain);
    loop.limit(most_V);
    const next = turn([loop.ud, loop.uq], winding.theta + advance * w * TICK_S);
    winding.run(...this.now);
    this.now = next;
  }
}

/** Largest pole: how much the answer to a kick of the current shrinks a tick, from `from` on, largest of a dozen ticks each. */
function largestPole(c: LoopCase, from: number, to: number): number {
  const [kicked, calm] = [new LoopRig(c), new LoopRig(c)];
  kicked.winding.put(10, 5);
  const dozen = () => {
    let most = 0;
    for (let n = 0; n < 12; n++) {
      const off = Math.hypot(kicked.winding.id_A - calm.winding.id_A, kicked.winding.iq_A - calm.winding.iq_A);
      most = Math.max(most, off);
      kicked.tick(0, 0);
      calm.tick(0, 0);
    }
    return most;
  };
  for (let n = 0; n < from; n++) {
    kicked.tick(0, 0);
    calm.tick(0, 0);
  }
  const start = dozen();
  for (let n = from + 12; n < to; n++) {
    kicked.tick(0, 0);
    calm.tick(0, 0);
  }
  return (dozen() / start) ** (1 / (to - from));
}

describe('answer to a step', () => {
  it.each([
    ['standing', 0, 0.16],
    ['at 1333 Hz', FAST_RAD_S, 0.16],
    ['at 1333 Hz backwards', -FAST_RAD_S, 0.25],
    ['at 1333 Hz', FAST_RAD_S, 0.5],
  ])('is that of K / (z (z - 1)), %s at %f rad/s with K = %f', (_, w, gain) => {
    const rig = new LoopRig({ gain, w });
    const k = gain * GAIN_SHARE;
    // y[n+1] = y[n] + k (1 - y[n-1]): nothing for two ticks, then the sum of what was missing two ticks before.
    let [before, y] = [0, 0];
    for (let n = 0; n < 60; n++) {
      const why = 'exact algebra, rounding of 40 A and of the steady state';
      expectNear(rig.winding.iq_A, 40 * y, { abs: 1e-6, because: why });
      expectNear(rig.winding.id_A, -15 * y, { abs: 1e-6, because: why });
      rig.tick(-15, 40);
      const next = n === 0 ? 0 : y + k * (1 - before);
      [before, y] = [y, next];
    }
  });

  it('overshoots by nothing up to K = 0.25, and at 0.5 by a quarter', () => {
    const peak = (gain: number) => {
      const rig = new LoopRig({ gain: gain / GAIN_SHARE, w: FAST_RAD_S });
      let most = 0;
      for (let n = 0; n < 100; n++) {
        rig.tick(0, 40);
        most = Math.max(most, rig.winding.iq_A);
      }
      return most / 40 - 1;
    };
    expectNear(peak(0.16), 0, { abs: 1e-6, because: 'real poles 0.2 and 0.8' });
    expectNear(peak(0.25), 0, { abs: 1e-6, because: 'a double pole at 0.5' });
    expectNear(peak(0.5), 0.25, { abs: 1e-6, because: 'by hand: 0, 0, 0.5, 1, 1.25, 1.25, 1.125' });
  });

  it('does not couple the axes of a salient motor standing still', () => {
    const rig = new LoopRig({ motor: PLAIN, gain: 0.2, w: 0 });
    for (let n = 0; n < 100; n++) {
      rig.tick(0, 40);
      expectNear(rig.winding.id_A, 0, { abs: 1e-9, because: 'rounding' });
    }
  });
});

describe('largest pole at 1333 Hz', () => {
  it('is the one of the winding, 0.962, with K = 0.2', () => {
    const z = largestPole({ gain: 0.2, w: FAST_RAD_S }, 100, 300);
    expectNear(z, DECAY, { abs: 1e-5, because: 'the others, 0.73, have shrunk by 1e-13' });
    expectNear(z, 0.962, { abs: 5e-4, because: 'three printed decimals' });
  });

  it.each([0.6, 0.8, 1.4, 2])('is inside with inductances known at %f of what they are', (times) => {
    const known = { ...ROUND, ld_H: times * L, lq_H: times * L };
    const z = largestPole({ gain: 0.2, w: FAST_RAD_S, known }, 100, 300);
    expect(z).toBeLessThan(0.985);
  });

  it.each([0.96, 1.04])('is sqrt(K) where that is more: K_w = %f', (k) => {
    const z = largestPole({ gain: k / GAIN_SHARE, w: FAST_RAD_S }, 200, 1200);
    const why = 'values 60 degrees apart may miss the largest by 30: cos 30, and its 1000th root';
    expectNear(z, Math.sqrt(k), { abs: 1.5e-4, because: why });
  });

  it('comes out at the largest stable gain of 1.0, and of 0.71 with inductances known 40 % high', () => {
    const known = { ...ROUND, ld_H: 1.4 * L, lq_H: 1.4 * L };
    const pole = (gain: number, facts: MotorFacts) => largestPole({ gain, w: FAST_RAD_S, known: facts }, 200, 1400);
    expect(pole(0.98, ROUND)).toBeLessThan(1);
    expect(pole(1.05, ROUND)).toBeGreaterThan(1);
    expect(pole(0.69, known)).toBeLessThan(1);
    expect(pole(0.75, known)).toBeGreaterThan(1);
  });

  it('gets worse with the voltage turned on by half a period instead of one and a half', () => {
    const right = coupling(1.5);
    expectNear(right, 0, { abs: 1e-6, because: 'the axes of a round motor do not meet: rounding' });
    expect(coupling(0.5)).toBeGreaterThan(5);
  });

  /** Largest d current that a step of 40 A along q makes [A]. */
  function coupling(advance: number): number {
    const rig = new LoopRig({ gain: 0.16, w: FAST_RAD_S, advance });
    let most = 0;
    for (let n = 0; n < 100; n++) {
      rig.tick(0, 40);
      most = Math.max(most, Math.abs(rig.winding.id_A));
    }
    return most;
  }
});

describe('limit', () => {
  it('keeps the phase of the voltage, and hands back the length that was asked for', () => {
    const loop = new CurrentLoop(TICK_S, PLAIN);
    loop.preset(-6, 8);
    expectNear(loop.limit(5), 10, { abs: 1e-12, because: 'rounding' });
    expectNear(loop.ud, -3, { abs: 1e-12, because: 'rounding' });
    expectNear(loop.uq, 4, { abs: 1e-12, because: 'rounding' });
    expectNear(loop.limit(5.1), 5, { abs: 1e-12, because: 'rounding' });
  });

  it('does not wind up: half a second at it leaves what 50 ms leave, and no more than the winding keeps', () => {
    const left = (ticks: number) => {
      const rig = new LoopRig({ gain: 0.16, w: FAST_RAD_S, most_V: 10.2 });
      for (let n = 0; n < ticks; n++) rig.tick(0, 300);
      const off = () => Math.hypot(rig.winding.id_A, rig.winding.iq_A + 20);
      const start = off();
      for (let n = 0; n < 100; n++) rig.tick(0, -20);
      return off() / start;
    };
    const kept = DECAY ** 100;
    expect(left(1000)).toBeLessThan(1.2 * kept);
    expectNear(left(10_000), left(1000), {
      abs: 1e-3 * kept,
      because: 'both start from the same current and voltage at rest',
    });
  });
});
