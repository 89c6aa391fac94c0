/**
 * Loss of lock: told from the flux along the magnet, on an exact winding that turns while the estimator believes something else.
 *
 * Source  a wrong polarity makes the mismatch 2, a slipping angle swings it by half and more, a healthy one stays below 0.1: derived
 *         from the error equation of the flux observer, limits found by trial on a simplified model. Times: one pole each, from
 *         memory.
 */
import { describe, expect, it } from 'vitest';
import { LockWatch } from '../../../src/control/sensorless/lock-watch.ts';
import { expectNear } from '../../support/near.ts';
import { type FluxCase, FluxRig } from './flux-rig.ts';
import { FULL_RAD_S, PLAIN, SETTINGS, TICK_S } from './motor-d.ts';

const TOP = SETTINGS.top_rad_s;

function watch(): LockWatch {
  const one = new LockWatch(TICK_S, PLAIN.lambda_Wb, TOP);
  one.reset();
  return one;
}

/** Ticks until a constant picture counts as lost; `most` when it never does. */
function ticksToLost(look: (w: LockWatch) => boolean, most = 4000): number {
  const one = watch();
  for (let n = 1; n <= most; n++) if (look(one)) return n;
  return most;
}

/** Ticks until a ride counts as lost, from `from` on. */
function ride(c: FluxCase, ticks: number, disturb: (rig: FluxRig, n: number) => void = () => {}): number {
  const rig = new FluxRig(PLAIN, c);
  const one = watch();
  for (let n = 0; n < ticks; n++) {
    disturb(rig, n);
    rig.tick();
    if (one.lost(rig.estimator.tracker.w, rig.estimator.flux.along, 1, false, 0)) return n;
  }
  return ticks;
}

describe('healthy', () => {
  it.each([0.1, 0.3, 0.6, 1, -1])('at %f of full speed and 80 A is left alone', (share) => {
    for (const iq_A of [0, 80, -80]) expect(ride({ w: share * FULL_RAD_S, iq_A }, 4000)).toBe(4000);
  });

  it('with beliefs that are 10 % off is left alone', () => {
    const { r_ohm, lq_H, lambda_Wb } = PLAIN;
    const c = { w: 0.2 * FULL_RAD_S, iq_A: 60 };
    expect(ride({ ...c, known: { ...PLAIN, r_ohm: 1.1 * r_ohm } }, 4000)).toBe(4000);
    expect(ride({ ...c, known: { ...PLAIN, lq_H: 1.1 * lq_H } }, 4000)).toBe(4000);
    expect(ride({ ...c, known: { ...PLAIN, lambda_Wb: 0.9 * lambda_Wb } }, 4000)).toBe(4000);
  });
});

describe('lost', () => {
  it('by half a turn is seen within 3 ms at speed', () => {
    const at = 1000;
    const seen = ride({ w: 3000 }, 4000, (rig, n) => {
      if (n === at) rig.estimator.tracker.theta -= Math.PI;
    });
    expect(seen).toBeGreaterThanOrEqual(at);
    expect(seen - at).toBeLessThan(60);
  });

  it('by a rotor that turns while the estimate stands still is seen within a few turns', () => {
    // A tracker that is held at a tenth of the speed slips at nine tenths.
    const at = 1000;
    const seen = ride({ w: 3000 }, 4000, (rig, n) => {
      if (n >= at) rig.estimator.tracker.w = 300;
    });
    expect(seen).toBeGreaterThanOrEqual(at);
    expect(seen - at).toBeLessThan(200);
  });

  it('says nothing about the flux while the EMF is below 0.3 V', () => {
    const slow = 0.29 / PLAIN.lambda_Wb;
    const fast = 0.31 / PLAIN.lambda_Wb;
    expect(ticksToLost((w) => w.lost(slow, 2, 1, false, 0))).toBe(4000);
    expect(ticksToLost((w) => w.lost(fast, 2, 1, false, 0))).toBeLessThan(30);
    expect(ticksToLost((w) => w.lost(-fast, -2, 1, false, 0))).toBeLessThan(30);
  });

  it('waits for the mismatch by one pole of 3 ms', () => {
    // 0.4 of 0.5 after ln 5, of 1 after ln (1 / 0.6) time constants.
    for (const along of [0.5, 1]) {
      const closed = (-Math.log(1 - 0.4 / along) * 3e-3) / TICK_S;
      const ticks = ticksToLost((w) => w.lost(3000, along, 1, false, 0));
      expectNear(ticks / closed, 1, {
        abs: 0.06,
        because: 'a tick of rounding of 31 and more, first order in the tick',
      });
    }
    expect(ticksToLost((w) => w.lost(3000, 0.39, 1, false, 0))).toBe(4000);
  });

  it.each([0.6, 1.5])('while injecting, an answer along d of %f of the expected one is not of the d axis', (match) => {
    expect(ticksToLost((w) => w.lost(0, 0, match, true, 0))).toBeLessThan(400);
    expect(ticksToLost((w) => w.lost(0, 0, match, false, 0))).toBe(4000);
  });

  it.each([0.9, 1, 1.15])('while injecting, one of %f is', (match) => {
    expect(ticksToLost((w) => w.lost(0, 0, match, true, 0))).toBe(4000);
  });

  it('needs 3 ms of a current far from its reference', () => {
    expectNear(ticksToLost((w) => w.lost(0, 0, 1, false, 40)) * TICK_S, 3e-3, {
      abs: 1.01 * TICK_S,
      because: 'a tick',
    });
    let n = 0;
    // A step of the reference that is met in 2 ms is none.
    expect(ticksToLost((w) => w.lost(0, 0, 1, false, n++ % 100 < 40 ? 60 : 0))).toBe(4000);
  });

  it('is a speed that no such motor has', () => {
    expect(watch().lost(1.41 * TOP, 0, 1, false, 0)).toBe(true);
    expect(watch().lost(-1.41 * TOP, 0, 1, false, 0)).toBe(true);
    expect(watch().lost(1.39 * TOP, 0, 1, false, 0)).toBe(false);
  });

  it.each(['speed', 'along', 'match'])('is a %s that is no number', (what) => {
    const nan = (name: string, otherwise: number) => (what === name ? Number.NaN : otherwise);
    expect(watch().lost(nan('speed', 0), nan('along', 0), nan('match', 1), true, 0)).toBe(what !== 'along');
    expect(watch().lost(nan('speed', 3000), nan('along', 0), nan('match', 1), true, 0)).toBe(true);
  });
});
