/** What opens the legs, for how long, and what brings them back. Limits are common practice, stated in src/control. */
import { describe, expect, it } from 'vitest';
import { OVER_HITS, OVER_WITHIN_S } from '../../src/control/guard/over-current.ts';
import { STATE_LOCKED, STATE_TEXT, TRIP_TEXT } from '../../src/control/tables.ts';
import {
  SENSE_IN,
  SENSE_OUT,
  STATE_BRAKING,
  STATE_COASTING,
  STATE_READY,
  STATE_RUNNING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_CURRENT,
  TRIP_HALL,
  TRIP_HEAT,
  TRIP_LINK_HIGH,
  TRIP_LINK_LOW,
  TRIP_NONE,
  TRIP_SENSOR,
} from '../../src/protocol/frames.ts';
import { FrameRig, TICK_S } from './frame-rig.ts';

/** Ready and driving at a slow turn. */
function driving(): FrameRig {
  const rig = new FrameRig();
  rig.boot();
  rig.pull(0.5);
  rig.speed_rad_s = 400;
  rig.run(10);
  expect(rig.drive.state).toBe(STATE_RUNNING);
  return rig;
}
const linkCounts = (volts: number): number => Math.round(volts / ((3.3 / 4096) * 11));
const ampereCounts = (amperes: number): number => Math.round(2048 + amperes / (3.3 / 4096 / 0.01));

describe('protections', () => {
  for (const [name, back, amperes] of [
    ['ia', 'ib', 121],
    ['ib', 'ic', -121],
    ['ic', 'ia', 121],
  ] as const) {
    it(`opens the legs within the tick on ${amperes} A in ${name}, latches the third, and stays tripped until a boot`, () => {
      const rig = driving();
      const hit = () => {
        Object.assign(rig.sense, { [name]: ampereCounts(amperes), [back]: ampereCounts(-amperes) });
        const answer = [rig.tick().gates, rig.drive.state, rig.drive.trip];
        Object.assign(rig.sense, { [name]: 2048, [back]: 2048 });
        rig.tick();
        return answer;
      };
      for (let k = 1; k < OVER_HITS; k++) {
        expect(hit()).toEqual([0, STATE_WAITING, TRIP_CURRENT]);
        expect([rig.drive.state, rig.drive.trip]).toEqual([STATE_RUNNING, TRIP_NONE]);
      }
      expect(hit()).toEqual([0, STATE_TRIPPED, TRIP_CURRENT]);
      rig.pull(0);
      rig.run(5000);
      rig.pull(0.3);
      rig.run(100);
      expect([rig.drive.gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_TRIPPED, TRIP_CURRENT]);
      rig.pull(0.4); // shallow enough to be a press
      rig.boot();
      expect([rig.drive.state, rig.drive.trip]).toEqual([STATE_RUNNING, TRIP_NONE]);
    });
  }

  it('forgets over-currents of which no three lie within 10 ms', () => {
    const rig = driving();
    for (let k = 0; k < 8; k++) {
      Object.assign(rig.sense, { ia: ampereCounts(130), ib: ampereCounts(-130) });
      expect(rig.tick().gates).toBe(0);
      Object.assign(rig.sense, { ia: 2048, ib: 2048 });
      rig.run(Math.round((0.5 * OVER_WITHIN_S) / TICK_S) + 1);
      expect(rig.drive.state).toBe(STATE_RUNNING);
    }
  });

  it('does not trip at 119 A, but opens the legs for that period', () => {
    const rig = driving();
    Object.assign(rig.sense, { ia: ampereCounts(119), ib: ampereCounts(-119) });
    expect([rig.tick().gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_RUNNING, TRIP_NONE]);
    Object.assign(rig.sense, { ia: 2048, ib: 2048 });
    expect(rig.tick().gates).not.toBe(0);
  });

  it('latches a link above 25 V for two ticks, not for one', () => {
    const rig = driving();
    rig.sense.link = linkCounts(25.1);
    expect(rig.tick().trip).toBe(TRIP_NONE);
    rig.sense.link = linkCounts(20);
    expect(rig.tick().trip).toBe(TRIP_NONE);
    rig.sense.link = linkCounts(25.1);
    rig.run(2);
    rig.sense.link = linkCounts(20);
    rig.run(100);
    expect([rig.drive.gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_TRIPPED, TRIP_LINK_HIGH]);
  });

  it('opens the legs while the link is below 10 V for 2 ms, and goes on above 11 V', () => {
    const rig = driving();
    rig.sense.link = linkCounts(9.9);
    rig.run(39);
    expect(rig.drive.state).toBe(STATE_RUNNING);
    expect([rig.tick().gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_WAITING, TRIP_LINK_LOW]);
    rig.sense.link = linkCounts(10.9);
    rig.run(200);
    expect(rig.drive.state).toBe(STATE_WAITING);
    rig.sense.link = linkCounts(11.1);
    rig.run(40);
    expect([rig.drive.state, rig.drive.trip]).toEqual([STATE_RUNNING, TRIP_NONE]);
  });

  it('says nothing of a low link after the trigger was released', () => {
    const rig = driving();
    rig.speed_rad_s = 4000; // it coasts
    rig.run(20);
    rig.pull(0);
    rig.sense.link = linkCounts(7);
    rig.run(200);
    expect([rig.drive.gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_READY, TRIP_NONE]);
  });

  for (const code of [0, 7]) {
    it(`tolerates the Hall code ${code} for two ticks, then opens the legs until it is gone`, () => {
      const rig = driving();
      rig.forcedCode = code;
      rig.run(2);
      expect(rig.drive.gates).not.toBe(0);
      expect([rig.tick().gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_WAITING, TRIP_HALL]);
      rig.forcedCode = -1;
      rig.run(2);
      expect([rig.drive.state, rig.drive.trip]).toEqual([STATE_RUNNING, TRIP_NONE]);
    });
  }

  it('latches the third bad Hall event within 100 ms, and only then', () => {
    const event = (rig: FrameRig): void => {
      rig.forcedCode = 7;
      rig.run(3);
      rig.forcedCode = -1;
      rig.run(3);
    };
    const slow = driving();
    for (let k = 0; k < 6; k++) {
      event(slow);
      slow.run(1000); // 50 ms: no three of them lie within 100 ms
    }
    expect(slow.drive.trip).toBe(TRIP_NONE);
    const quick = driving();
    event(quick);
    event(quick);
    expect(quick.drive.trip).toBe(TRIP_NONE);
    event(quick);
    quick.run(4000);
    expect([quick.drive.gates, quick.drive.state, quick.drive.trip]).toEqual([0, STATE_TRIPPED, TRIP_HALL]);
  });

  it('refuses to drive on an offset that no healthy amplifier has', () => {
    const rig = new FrameRig();
    rig.sense.ib = 2300;
    rig.pull(1);
    rig.boot();
    expect([rig.drive.gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_TRIPPED, TRIP_SENSOR]);
  });

  it('coasts when the switch is reversed at speed, and drives the other way once it is slow', () => {
    const rig = driving();
    rig.speed_rad_s = 3000;
    rig.run(100);
    rig.flags = SENSE_OUT;
    rig.run(2);
    expect([rig.drive.gates, rig.drive.state]).toEqual([0, STATE_COASTING]);
    rig.speed_rad_s = 200; // 50 rad/s mechanical
    rig.run(400);
    expect(rig.drive.state).toBe(STATE_RUNNING);
    rig.flags = SENSE_IN;
    rig.run(2);
    expect(rig.drive.state).toBe(STATE_RUNNING);
  });

  it('has a text for every number that it reports', () => {
    const states = [STATE_RUNNING, STATE_TRIPPED, STATE_COASTING, STATE_WAITING, STATE_BRAKING, STATE_LOCKED];
    for (const n of states) expect(STATE_TEXT[n]).toBeTruthy();
    for (const n of [TRIP_CURRENT, TRIP_LINK_HIGH, TRIP_LINK_LOW, TRIP_HALL, TRIP_SENSOR, TRIP_HEAT]) {
      expect(TRIP_TEXT[n]).toBeTruthy();
    }
  });
});
