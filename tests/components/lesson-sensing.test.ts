/** What the lessons on dead time and on a drifting shunt say, asked of the bench that they set. */
import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { TRIP_LOCK } from '../../src/protocol/frames.ts';
import { expectNear } from '../support/near.ts';
import { LessonRig, lessonOf } from './lesson-rig.ts';

const { bridge } = BENCH_18;
const wrap = (angle: number): number => Math.atan2(Math.sin(angle), Math.cos(angle));
const mean = (x: number[]): number => x.reduce((sum, value) => sum + value, 0) / x.length;

describe('low speed and the dead time', () => {
  const rig = new LessonRig();
  const { steps } = lessonOf('dead-time');

  it('makes a leg owe link times dead time times frequency, and its drops', async () => {
    const { values, spans } = await rig.play(steps[0]);
    const link_V = mean(rig.record('link', { from_s: 0.4, to_s: spans[0].to_s }));
    const gap_V = link_V * bridge.deadTime_s * bridge.pwm_Hz;
    const most_A = Math.max(...rig.record('currentA', { from_s: 0.4, to_s: spans[0].to_s }));
    const drops_V =
      most_A * (bridge.rds_ohm + bridge.shunt_ohm) +
      (bridge.diode_V + most_A * bridge.diode_ohm) * bridge.deadTime_s * bridge.pwm_Hz;
    expect(values[0]).toBeGreaterThan(gap_V);
    expectNear(values[0], gap_V + drops_V / 2, {
      abs: drops_V / 2 + 0.02,
      because:
        'switches and diodes drop between nothing and what the greatest current makes; edges of 40 ns, and counts of the duty',
    });
  });

  it('adds 0.2 V with half a microsecond', async () => {
    const { values, spans } = await rig.play(steps[1]);
    const link_V = mean(rig.record('link', { from_s: spans[1].from_s, to_s: spans[1].to_s }));
    expectNear(link_V * bridge.pwm_Hz * 0.5e-6, 0.2, { abs: 0.003, because: 'the answer rounds the link to 20 V' });
    expectNear(values[1] - values[0], link_V * bridge.pwm_Hz * 0.5e-6, {
      abs: 0.015,
      because:
        'the diode takes 0.8 V more in the gap, 8 mV of the mean; the link ripples in correlation with the duty by as much',
    });
  });

  it('hides behind the voltage that speed asks for', async () => {
    const { values, spans } = await rig.play(steps[2]);
    const [creeping_V, fast_V] = values;
    expect(fast_V).toBeGreaterThan(4 * creeping_V);
    expect(0.2 / creeping_V).toBeGreaterThan(0.1);
    expect(0.2 / fast_V).toBeLessThan(0.03);
    // The hand asks for the same torque: the current is much the same.
    const q = spans.map(({ to_s }) => mean(rig.record('currentQ', { from_s: to_s - 0.2, to_s })));
    expectNear(q[1] / q[0], 1, {
      abs: 0.2,
      because: 'a hand slips at one torque; windage and iron add some percent at speed',
    });
  });

  it('ripples six times a turn, more so with more of it, and not five times', async () => {
    const { values } = await rig.play(steps[3]);
    const [before_A, after_A, fifth_A] = values;
    // Half again is far above what noise adds to a line over some eighty turns.
    expect(after_A).toBeGreaterThan(1.5 * before_A);
    expect(fifth_A).toBeLessThan(0.05 * after_A);
  });

  it('costs the angle at crawling speed, and says so by name', async () => {
    const { values, spans } = await rig.play(steps[4]);
    expect(values[1]).toBe(TRIP_LOCK);
    const apart = (to_s: number) => {
      const span = { from_s: to_s - steps[4].show_s, to_s };
      const truth = rig.record('rotorAngle', span);
      return Math.max(...rig.record('watch 0', span).map((angle, k) => Math.abs(wrap(angle - truth[k]))));
    };
    // At 45 degrees three tenths of the torque are gone (cosine); on a projector it is seen by then.
    expect(apart(spans[0].to_s)).toBeLessThan(15 * (Math.PI / 180));
    expect(apart(spans[1].to_s)).toBeGreaterThan(45 * (Math.PI / 180));
    const end = { from_s: spans[1].to_s, to_s: spans[1].to_s };
    const [rotor, belief] = [rig.record('rotorAngle', end)[0], rig.record('watch 0', end)[0]];
    expect(wrap(belief - rotor)).toBeGreaterThan(30 * (Math.PI / 180));
  });
});

describe('a drifting shunt', () => {
  const rig = new LessonRig();
  const { steps } = lessonOf('shunt');

  it('makes the torque swing once a turn', async () => {
    const [before_Nm, after_Nm, twice_Nm] = (await rig.play(steps[0])).values;
    expect(after_Nm).toBeGreaterThan(20 * before_Nm);
    expect(twice_Nm).toBeLessThan(0.1 * after_Nm);
  });

  it('swings in proportion while it drifts, and nothing is reported', async () => {
    const { values, spans } = await rig.play(steps[1]);
    const [half_Nm, end_Nm, trip] = values;
    // Mean size in either window of 40 ms: the ramp of 0.4 s from 0.5 s on, less half a window.
    const size = (to_s: number) => (10 * (to_s - 0.02 - spans[1].from_s)) / 0.4;
    expectNear(end_Nm / half_Nm, size(spans[2].to_s) / size(spans[1].to_s), {
      abs: 0.15,
      because: 'the current loop answers an error that grows a few percent later than one that stands',
    });
    expect(trip).toBe(0);
  });

  it('swings twice a turn where the gain is off', async () => {
    const [once_A, twice_A] = (await rig.play(steps[2])).values;
    expect(twice_A).toBeGreaterThan(2 * once_A);
  });

  it('shows in the sum of the three, by its size', async () => {
    const [before_A, after_A] = (await rig.play(steps[3])).values;
    // One count of the converter is 0.08 A.
    expectNear(before_A, 0, { abs: 0.08, because: 'Kirchhoff; offsets are trimmed to a count' });
    expectNear(after_A - before_A, 5, { abs: 0.08, because: 'the offset, rounded to whole counts' });
  });

  it('leaves the angle where it was, told a period later', async () => {
    const { values, spans } = await rig.play(steps[4]);
    expect(values[1]).toBeGreaterThan(0);
    const span = { from_s: spans[1].to_s - 0.1, to_s: spans[1].to_s };
    const truth = rig.record('rotorAngle', span);
    const estimate = rig.record('watch 0', span);
    const late = (periods: number) =>
      Math.max(...estimate.slice(1).map((angle, k) => Math.abs(wrap(angle - truth[k + 1 - periods]))));
    // A period is 16 degrees at this speed; what is left is the swing itself.
    expect(late(1)).toBeLessThan(5 * (Math.PI / 180));
    expect(late(0)).toBeGreaterThan(2 * late(1));
  });
});
