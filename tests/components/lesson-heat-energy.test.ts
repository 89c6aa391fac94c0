/** What the lessons on heat and on energy say, asked of the bench that they set. */
import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { expectNear } from '../support/near.ts';
import { LessonRig, lessonOf } from './lesson-rig.ts';

const { heat, bridge, winding, shaft, link } = BENCH_18;
const COPPER_1_K = 0.00393; // IEC 60028, from memory
const wrap = (angle: number): number => Math.atan2(Math.sin(angle), Math.cos(angle));

describe('stall and heat', () => {
  const rig = new LessonRig();
  const { steps } = lessonOf('stall-heat');

  it('keeps the stall in two legs, while the third one cools down', async () => {
    const { values, spans } = await rig.play(steps[0]);
    const [coldest, middle, hottest] = [...values].sort((a, b) => a - b);
    expect(coldest - heat.ambient_K).toBeLessThan(0.5);
    expect(Math.min(middle, hottest) - heat.ambient_K).toBeGreaterThan(5);
    const late = { from_s: 0.35, to_s: spans[0].to_s };
    const last = (['currentA', 'currentB', 'currentC'] as const).map((id) => rig.record(id, late).at(-1) ?? Number.NaN);
    expect(last.filter((current) => Math.abs(current) > 20)).toHaveLength(2);
    expectNear(last[0] + last[1] + last[2], 0, { abs: 1e-4, because: 'Kirchhoff, in float32 at 60 A' });
  });

  it('shares the heat as soon as the chuck turns', async () => {
    const { values } = await rig.play(steps[1]);
    const spread = Math.max(...values) - Math.min(...values);
    // An electrical turn takes 4 ms at this load; within it a leg of 36 ms follows by a tenth of its 7 K.
    expect(spread).toBeLessThan(0.7);
    expect(Math.min(...values) - heat.ambient_K).toBeGreaterThan(4);
    // Thermal mass times resistance of a junction, as the answer says: some 40 ms.
    expectNear(bridge.junction_J_K * bridge.junctionSink_K_W, 0.04, {
      abs: 0.005,
      because: 'the answer says some 40 ms',
    });
  });

  it('reaches the switches before the winding', async () => {
    const [, longer_K] = (await rig.play(steps[0])).values;
    const [leg_K, winding_K] = (await rig.play(steps[2])).values;
    // Before the winding has done a degree, the leg has done nearly all of what the same stall does to it in 0.4 s.
    expect(winding_K).toBeLessThan(1);
    expect(leg_K).toBeGreaterThan(0.9 * (longer_K - heat.ambient_K));
    expect(leg_K).toBeGreaterThan(20 * winding_K);
  });

  it('warms the winding by the square of the current over its mass', async () => {
    const { values, spans } = await rig.play(steps[3]);
    const [before_A, before_K, after_A, after_K] = values;
    const phase = (k: number) => ({ from_s: spans[k].to_s - 0.2, to_s: spans[k].to_s });
    for (const [k, rise_K] of [before_K, after_K].entries()) {
      const squares = (['currentA', 'currentB', 'currentC'] as const).map((id) => {
        const values_A = rig.record(id, phase(k));
        return values_A.reduce((sum, current) => sum + current * current, 0) / values_A.length;
      });
      const warm = rig.record('windingHeat', phase(k));
      const at_K = (warm[0] + warm[warm.length - 1]) / 2;
      const r_ohm = winding.r_ohm * (1 + COPPER_1_K * (at_K - heat.ambient_K));
      const loss_W = squares.reduce((sum, square) => sum + square, 0) * r_ohm;
      const away_W = (at_K - heat.ambient_K) / heat.windingHousing_K_W;
      expectNear(rise_K, ((loss_W - away_W) * 0.2) / heat.winding_J_K, {
        abs: 0.003 + 0.02 * rise_K,
        because:
          'a step of the record is 3e-5 K, the housing warms up by some hundredths of a kelvin, and iron loss of the ripple of the current is not in it',
      });
    }
    expectNear(after_A / before_A, 1 / 3, { abs: 0.02, because: 'the controller holds with a third, by its settings' });
    expect(after_K).toBeLessThan(before_K / 9);
  });

  it('stands, and the estimate stays within some degrees', async () => {
    const { values, spans } = await rig.play(steps[4]);
    expectNear(values[0], 0, { abs: 1e-6, because: 'a chuck that sticks does not move at all' });
    const late = { from_s: spans[0].to_s - 0.1, to_s: spans[0].to_s };
    const truth = rig.record('rotorAngle', late);
    expect(Math.max(...truth) - Math.min(...truth)).toBeLessThan(2 * (Math.PI / 180));
    const off = rig.record('watch 0', late).map((angle, k) => Math.abs(wrap(angle - truth[k])));
    expect(Math.max(...off)).toBeLessThan(15 * (Math.PI / 180));
  });
});

describe('reversal and energy', () => {
  const rig = new LessonRig();
  const { steps } = lessonOf('reversal');

  it('runs down with all legs open, and charges nothing', async () => {
    const { values, spans } = await rig.play(steps[0]);
    const [thrown, later, least_A] = values;
    expect(later).toBeGreaterThan(0.2 * thrown);
    expect(later).toBeLessThan(0.6 * thrown);
    expect(least_A).toBeGreaterThanOrEqual(0);
    const currents = rig.record('currentA', { from_s: spans[0].to_s + 0.01, to_s: spans[1].to_s });
    expectNear(Math.max(...currents.map(Math.abs)), 0, {
      abs: 0.01,
      because: 'legs that are open below the voltage of the link',
    });
  });

  it('gives energy back while it slows down, and the link rises by what the pack resists', async () => {
    const { values, spans } = await rig.play(steps[1]);
    const [before_V, highest_V, least_A, end_rad_s] = values;
    expect(least_A).toBeLessThan(-2);
    expect(highest_V).toBeGreaterThan(before_V);
    expect(end_rad_s).toBeLessThan(0);
    // The sign of the power tells when: mean of the pack current on either side of the crossing.
    const braking = rig.record('motorSpeed', spans[1]);
    const crossing = braking.findIndex((speed) => speed < 0);
    const current = rig.record('packCurrent', spans[1]);
    const mean = (x: number[]) => x.reduce((sum, value) => sum + value, 0) / x.length;
    expect(mean(current.slice(100, Math.floor(0.8 * crossing)))).toBeLessThan(0);
    expect(mean(current.slice(Math.floor(1.2 * crossing)))).toBeGreaterThan(0);
    // The energy that came back is less than what the rotor gave.
    const volt = rig.record('packVoltage', spans[1]);
    const back_J =
      -current.slice(0, crossing).reduce((sum, ampere, k) => sum + Math.min(0, ampere) * volt[k], 0) * 50e-6;
    expect(back_J).toBeGreaterThan(0);
    expect(back_J).toBeLessThan((shaft.rotor_kgm2 / 2) * braking[0] ** 2);
  });

  it('holds the link while the pack is open, with more energy in the rotor than the capacitor takes', async () => {
    const { values, spans } = await rig.play(steps[2]);
    const [before_V, highest_V, least_A, breakdowns] = values;
    const rotor_J = (shaft.rotor_kgm2 / 2) * rig.record('motorSpeed', spans[1])[0] ** 2;
    expectNear(rotor_J, 10, { abs: 1, because: 'the lesson says some ten joules' });
    expectNear((link.c_F / 2) * (bridge.avalanche_V ** 2 - before_V ** 2), 1 / 3, {
      abs: 0.06,
      because: 'the lesson says a third of a joule',
    });
    expect(highest_V).toBeGreaterThan(before_V + 1);
    expect(highest_V).toBeLessThan(30);
    expect([least_A, breakdowns]).toEqual([0, 0]);
    // Level for more than a tenth of a second, while the rotor turns.
    const level = rig.record('link', { from_s: spans[1].from_s + 0.03, to_s: spans[1].from_s + 0.14 });
    expect(Math.max(...level) - Math.min(...level)).toBeLessThan(1);
    expect(
      rig.record('motorSpeed', { from_s: spans[1].from_s + 0.14, to_s: spans[1].from_s + 0.14 })[0],
    ).toBeGreaterThan(100);
  });

  it('keeps the angle through standstill', async () => {
    const { values, spans } = await rig.play(steps[3]);
    expect(values[0]).toBeGreaterThan(100);
    expect(values[1]).toBeLessThan(-100);
    const span = { from_s: spans[2].to_s - steps[3].show_s, to_s: spans[2].to_s };
    const truth = rig.record('rotorAngle', span);
    const off = rig.record('watch 0', span).map((angle, k) => Math.abs(wrap(angle - truth[k])));
    // Torque stays above nine tenths within 25 electrical degrees (cosine): far from lost.
    expect(Math.max(...off)).toBeLessThan(25 * (Math.PI / 180));
  });
});
