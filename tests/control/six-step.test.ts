/** What the six-step controller answers to frames alone. Limits are those stated in src/control. */
import { describe, expect, it } from 'vitest';
import { BUILT_IN, controllerNames } from '../../src/control/index.ts';
import { DUTY_MOST, HELLO, hallSixStep } from '../../src/control/six-step.ts';
import {
  DUTY_FULL,
  GATE_A,
  SENSE_IN,
  SENSE_OUT,
  STATE_COASTING,
  STATE_READY,
  STATE_RUNNING,
  STATE_STARTING,
} from '../../src/protocol/frames.ts';
import { decodeHello, encodeHello } from '../../src/protocol/hello.ts';
import { expectNear } from '../support/near.ts';
import { FrameRig, hallCode, TICK_S } from './frame-rig.ts';

const DEG = Math.PI / 180;
/** Phases by EMF at an angle, largest first: the first is to be driven high, the last low, the middle one not. */
function phasesByEmf(angle_rad: number): number[] {
  const emf = (x: number) => -Math.sin(angle_rad - (x * 2 * Math.PI) / 3);
  return [0, 1, 2].sort((a, b) => emf(b) - emf(a));
}

describe('six-step controller', () => {
  it('says a valid Hello', () => {
    const result = decodeHello(encodeHello(HELLO));
    expect(result).toEqual({ hello: HELLO });
    expect(controllerNames()).toContain('hall-six-step');
    expect(BUILT_IN['hall-six-step']().hello.firmware).toBe(HELLO.firmware);
  });

  it('keeps the legs open for the 128 ticks of offset calibration, whatever the trigger asks', () => {
    const rig = new FrameRig();
    rig.pull(0.4);
    for (let k = 0; k < 127; k++) {
      const { gates, state } = rig.tick(k === 0);
      expect([gates, state]).toEqual([0, STATE_STARTING]);
    }
    expect(rig.tick().state).toBe(STATE_RUNNING);
  });

  it('drives high leg and low leg by the EMF at every angle, in both directions, and leaves the third open', () => {
    for (const [flag, side] of [
      [SENSE_IN, 1],
      [SENSE_OUT, -1],
    ]) {
      for (let deg = 0.5; deg < 360; deg += 3) {
        const rig = new FrameRig();
        rig.angle_rad = deg * DEG;
        rig.flags = flag;
        rig.boot();
        rig.pull(1);
        rig.run(2);
        const { gates, dutyA, dutyB, dutyC, state } = rig.drive;
        const order = phasesByEmf(rig.angle_rad);
        const high = side > 0 ? order[0] : order[2];
        const low = side > 0 ? order[2] : order[0];
        expect(state).toBe(STATE_RUNNING);
        expect(gates, `at ${deg} deg`).toBe((GATE_A << high) | (GATE_A << low));
        const duties = [dutyA, dutyB, dutyC];
        expect(duties[high]).toBeGreaterThan(0);
        expect([duties[low], duties[3 - high - low]]).toEqual([0, 0]);
      }
    }
  });

  it('never asks for more duty than leaves 3 us of low side', () => {
    const rig = new FrameRig();
    rig.boot();
    rig.pull(1);
    rig.speed_rad_s = 5000;
    let most = 0;
    for (let k = 0; k < 4000; k++) {
      const { dutyA, dutyB, dutyC } = rig.tick();
      most = Math.max(most, dutyA, dutyB, dutyC);
    }
    expect(most).toBe(Math.round(DUTY_MOST * DUTY_FULL));
    expectNear((1 - most / DUTY_FULL) * TICK_S, 3e-6, { abs: TICK_S / DUTY_FULL, because: 'one count of the duty' });
  });

  it('commutates for the middle of the period that the command rules, led by the advance', () => {
    // At 0.9 of full speed the advance is (0.9 - 0.3) / 0.7 of 15 degrees.
    for (const side of [1, -1]) {
      const w = 0.9 * 8800;
      const rig = new FrameRig();
      rig.flags = side > 0 ? SENSE_IN : SENSE_OUT;
      rig.boot();
      rig.pull(1);
      rig.speed_rad_s = side * w;
      rig.run(40);
      let wrong = 0;
      for (let k = 0; k < 2000; k++) {
        const now_rad = rig.angle_rad;
        const { gates } = rig.tick();
        const led_rad = now_rad + side * (1.5 * TICK_S * w + (0.6 / 0.7) * 15 * DEG);
        const order = phasesByEmf(led_rad);
        if (gates !== ((GATE_A << order[0]) | (GATE_A << order[2]))) wrong += 1;
      }
      // A sector is 119 us: an edge estimate off by 20 ns picks the other sector in 2e-4 of the ticks.
      expect(wrong).toBeLessThanOrEqual(2);
    }
  });

  it('does nothing inside the dead band, with the switch locked, or without a valid Hall code', () => {
    const rig = new FrameRig();
    rig.boot();
    rig.pull(0.048);
    expect([rig.tick().gates, rig.drive.state]).toEqual([0, STATE_READY]);
    rig.pull(1);
    rig.flags = 0;
    expect([rig.tick().gates, rig.drive.state]).toEqual([0, STATE_READY]);
    rig.flags = SENSE_IN;
    expect(rig.tick().state).toBe(STATE_RUNNING);
    rig.speed_rad_s = 4000;
    rig.run(20);
    rig.pull(0);
    expect([rig.tick().gates, rig.drive.state]).toEqual([0, STATE_READY]);
  });

  it('does not take a missed edge for standstill when the direction is flipped', () => {
    const rig = new FrameRig();
    rig.boot();
    rig.pull(0.5);
    rig.speed_rad_s = 4000;
    rig.run(200);
    expect(rig.drive.state).toBe(STATE_RUNNING);
    rig.flags = SENSE_OUT;
    // One edge lost: the code two sectors on, seen twice, is taken for the place of the rotor, and its speed is unknown.
    rig.forcedCode = hallCode(rig.angle_rad + (2 * Math.PI) / 3);
    for (let k = 0; k < 20; k++) {
      rig.tick();
      expect(rig.drive.gates, `tick ${k}`).toBe(0);
    }
    expect(rig.drive.state).toBe(STATE_COASTING);
    // A rotor that shows no edge for a tenth of a second does stand still.
    rig.run(2200);
    expect(rig.drive.gates).not.toBe(0);
  });

  it('answers after a boot, tick by tick, as one that never ran before', () => {
    const used = new FrameRig();
    used.boot();
    used.pull(1);
    used.speed_rad_s = 6000;
    used.run(500);
    used.sense.ia = 4000; // trips
    used.run(3);
    const fresh = new FrameRig();
    for (const rig of [used, fresh]) {
      rig.sense.ia = 2055;
      rig.sense.tick = 77;
      rig.angle_rad = 1;
      rig.speed_rad_s = 700;
      rig.pull(0.4);
    }
    for (let k = 0; k < 1000; k++) {
      const a = structuredClone(used.tick(k === 0));
      const b = structuredClone(fresh.tick(k === 0));
      expect(a, `tick ${k}`).toEqual(b);
    }
  });

  it('reports speed in mechanical rad/s and the sector', () => {
    const rig = new FrameRig();
    rig.boot();
    rig.speed_rad_s = -4000;
    rig.run(200);
    expectNear(rig.drive.watch[0], -1000, {
      abs: 0.1,
      because: 'two counts of 10 ns in a turn of 1.57 ms, and float32',
    });
    const sector = ((Math.floor(((rig.angle_rad + 4000 * TICK_S) / DEG + 30) / 60) % 6) + 6) % 6;
    expect(rig.drive.watch[2]).toBe(sector);
  });

  it('refuses settings that cannot be', () => {
    expect(() => hallSixStep({ currentLimit_A: 0 })).toThrow(RangeError);
    expect(() => hallSixStep({ overCurrent_A: 50 })).toThrow(/sixStep.overCurrent_A is 50 A; allowed is 60 to 160 A/);
    expect(() => hallSixStep({ advance_deg: 45 })).toThrow(/advance_deg/);
  });
});
