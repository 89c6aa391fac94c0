/** Which instant the motor section shows, on a record as the worker fills it. */
import { describe, expect, it } from 'vitest';
import { chooseInstant, type Instant } from '../../components/drill-view/instant.ts';
import { between } from '../../components/drill-view/motion.ts';
import { RunRecord } from '../../components/session/run-record.ts';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { BLOCK_BYTES, blockViews, HEAD_INDEX, MAX_TICKS, TICK, TICK_INDEX } from '../../worker/block.ts';
import { expectNear } from '../support/near.ts';

const TAU = 2 * Math.PI;
const PWM_HZ = 20_000;
const ROUNDING = { abs: 1e-5, because: 'angles and currents of the record are float32' };

/**
 * A rotor at a steady electrical speed [rad/s]. Truth is kept for the end of each period; the controller spoke of its beginning,
 * and is off by `off_rad`.
 */
function steady(speed_rad_s: number, off_rad: number): RunRecord {
  const record = new RunRecord(PWM_HZ);
  const block = blockViews(new ArrayBuffer(BLOCK_BYTES));
  block.head[HEAD_INDEX.epoch] = 1;
  block.head[HEAD_INDEX.ticks] = MAX_TICKS;
  const angleAt = (tick: number) => (((speed_rad_s * tick) / PWM_HZ) % TAU) + (speed_rad_s < 0 ? TAU : 0);
  const wrap = (angle_rad: number) => angle_rad - TAU * Math.floor(angle_rad / TAU);
  const put = (k: number, name: keyof typeof TICK_INDEX, value: number) => {
    block.ticks[k * TICK.length + TICK_INDEX[name]] = value;
  };
  for (let k = 0; k < MAX_TICKS; k++) {
    const angle = wrap(angleAt(k + 1));
    put(k, 'rotorAngle', angle);
    put(k, 'boardAngle', wrap(angleAt(k) + off_rad));
    put(k, 'currentA', 20 * Math.cos(angle + Math.PI / 2));
    put(k, 'currentB', 20 * Math.cos(angle - TAU / 3 + Math.PI / 2));
    put(k, 'currentC', 20 * Math.cos(angle + TAU / 3 + Math.PI / 2));
  }
  block.now[SIGNAL_INDEX.electricalSpeed] = speed_rad_s;
  block.now[SIGNAL_INDEX.rotorAngle] = wrap(angleAt(MAX_TICKS));
  record.absorb(block);
  return record;
}

const blank = (): Instant => ({ angle_rad: 0, estimate_rad: Number.NaN, a_A: 0, b_A: 0, c_A: 0, held: false });
const FRAME_S = 1 / 60;

describe('the instant that the section shows', () => {
  for (const turns of [420, -420]) {
    it(`is held at one rotor angle at ${turns} turns a second, with the error of the controller as it was`, () => {
      const out = blank();
      chooseInstant(steady(turns * TAU, 0.3), FRAME_S, false, out);
      expect(out.held).toBe(true);
      expectNear(out.angle_rad, Math.PI / 3, ROUNDING);
      expectNear(between(out.angle_rad, out.estimate_rad), 0.3, ROUNDING);
      // The current leads by a quarter turn: of phase A at 60 degrees 20 cos(150 degrees).
      expectNear(out.a_A, -20 * Math.cos(Math.PI / 6), {
        abs: 0.044,
        because:
          'a chord between samples 7.56 degrees apart lies below an arc of 20 A by 20 x 0.132 x 0.132 / 8 at its middle',
      });
    });
  }

  it('is the latest sample when it is slow enough to be drawn turning', () => {
    const out = blank();
    const record = steady(420 * TAU, -0.2);
    chooseInstant(record, FRAME_S / 1000, false, out);
    expect(out.held).toBe(false);
    expect(out.angle_rad).toBe(record.now[SIGNAL_INDEX.rotorAngle]);
    expectNear(between(out.angle_rad, out.estimate_rad), -0.2, ROUNDING);
  });

  it('goes evenly from one period to the next in slow motion, also across zero', () => {
    for (const speed_rad_s of [420 * TAU, -420 * TAU, 0.987 * 420 * TAU]) {
      const record = steady(speed_rad_s, 0.1);
      const out = blank();
      for (const share of [0, 0.25, 0.999]) {
        chooseInstant(record, FRAME_S / 1000, false, out, share);
        const wanted = (speed_rad_s * (MAX_TICKS - 1 + share)) / PWM_HZ;
        expectNear(between(wanted, out.angle_rad), 0, ROUNDING);
        expectNear(between(out.angle_rad, out.estimate_rad), 0.1, ROUNDING);
        expectNear(out.a_A, 20 * Math.cos(wanted + Math.PI / 2), {
          abs: 0.044,
          because:
            'a chord between samples 7.56 degrees apart lies below an arc of 20 A by 20 x 0.132 x 0.132 / 8 at its middle',
        });
      }
    }
  });

  it('has no estimate where the controller tells none', () => {
    const out = blank();
    chooseInstant(steady(420 * TAU, Number.NaN), FRAME_S, false, out);
    expect(out.estimate_rad).toBeNaN();
    chooseInstant(steady(1, Number.NaN), FRAME_S, false, out);
    expect(out.estimate_rad).toBeNaN();
  });

  it('is held in stills although the pace is slow', () => {
    const out = blank();
    chooseInstant(steady(420 * TAU, 0), 1 / 1000, true, out);
    expect(out.held).toBe(true);
  });
});
