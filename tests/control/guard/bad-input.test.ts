/**
 * Readings that cannot be, frame by frame: every channel clipped at either end and absent, current channels stuck and lying.
 * Each must open the legs in the tick in which its number would be used, and latch within the ticks that its file states.
 */
import { describe, expect, it } from 'vitest';
import {
  CurrentCheck,
  RAILED_TICKS,
  STUCK_HITS,
  STUCK_MOVE_COUNTS,
  STUCK_TICKS,
  SUM_MOST_COUNTS,
  SUM_TICKS,
} from '../../../src/control/guard/current-check.ts';
import { FAULT_TICKS } from '../../../src/control/guard/heat.ts';
import { LINK_RAILED_TICKS } from '../../../src/control/guard/link.ts';
import { TRIGGER_RAILED_TICKS } from '../../../src/control/protection.ts';
import { blankSense } from '../../../src/protocol/codec.ts';
import {
  GATE_A,
  NOT_FITTED,
  type Sense,
  STATE_READY,
  STATE_RUNNING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_SENSOR,
} from '../../../src/protocol/frames.ts';
import { FrameRig } from '../frame-rig.ts';

const FULL = 4095;
const ZERO = 2048;
type Channel = 'ia' | 'ib' | 'ic' | 'link' | 'trigger' | 'heatBridge' | 'heatMotor';
/** Ticks until the legs are open, and until the trip is latched. */
const TIMES: Record<Channel, readonly [number, number]> = {
  ia: [1, RAILED_TICKS],
  ib: [1, RAILED_TICKS],
  ic: [1, RAILED_TICKS],
  link: [1, LINK_RAILED_TICKS],
  trigger: [1, TRIGGER_RAILED_TICKS],
  // A temperature is no number that a tick acts on; its last good value stands until the trip.
  heatBridge: [FAULT_TICKS, FAULT_TICKS],
  heatMotor: [FAULT_TICKS, FAULT_TICKS],
};

/** Driving slowly at half trigger, with 30 A out of the high leg and into the low one, as the last command asked. */
class LoadedRig extends FrameRig {
  /** What breaks, done to each frame before it is sent. */ broken: (sense: Sense) => void = () => {};
  amperes = 30;
  private readonly counts = Float64Array.of(0, 0, 0);

  constructor() {
    super();
    this.boot();
    this.pull(0.5);
    this.speed_rad_s = 400;
    this.run(150);
    expect(this.drive.state).toBe(STATE_RUNNING);
  }

  override tick(boot = false) {
    const { gates, dutyA, dutyB, dutyC } = this.drive;
    const duty = [dutyA, dutyB, dutyC];
    const on = [0, 1, 2].filter((k) => (gates & (GATE_A << k)) !== 0);
    const high = on.length === 2 ? (duty[on[0]] > duty[on[1]] ? on[0] : on[1]) : -1;
    for (let k = 0; k < 3; k++) {
      const sign = on.length !== 2 || !on.includes(k) ? 0 : k === high ? 1 : -1;
      this.counts[k] = Math.round((sign * this.amperes) / (3.3 / 4096 / 0.01));
    }
    const [ia, ib, ic] = this.counts;
    Object.assign(this.sense, { ia: ZERO + ia, ib: ZERO + ib, ic: ZERO + ic, link: 2031 });
    this.broken(this.sense);
    return super.tick(boot);
  }

  /** Ticks until the trip is latched, and until the legs were open for good. */
  untilTripped(most: number): { open: number; latched: number } {
    let open = 0;
    for (let k = 1; k <= most; k++) {
      if (this.tick().gates !== 0) open = k;
      if (this.drive.state === STATE_TRIPPED) return { open: open + 1, latched: k };
    }
    return { open: open + 1, latched: Number.POSITIVE_INFINITY };
  }
}

describe('readings that cannot be', () => {
  for (const channel of Object.keys(TIMES) as Channel[]) {
    for (const [what, counts] of [
      ['clipped at 0', 0],
      ['clipped at full scale', FULL],
      ['absent', NOT_FITTED],
    ] as const) {
      it(`${channel} ${what} opens the legs and trips in time`, () => {
        const rig = new LoadedRig();
        rig.broken = (sense) => {
          sense[channel] = counts;
        };
        const { open, latched } = rig.untilTripped(2000);
        const [openWithin, latchedWithin] = TIMES[channel];
        expect(open).toBeLessThanOrEqual(openWithin);
        expect(latched).toBeLessThanOrEqual(latchedWithin);
        expect([rig.drive.gates, rig.drive.trip]).toEqual([0, TRIP_SENSOR]);
        // It stays, whatever the channel says afterwards.
        rig.broken = () => {};
        rig.pull(0);
        rig.run(500);
        rig.pull(0.5);
        rig.run(500);
        expect([rig.drive.gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_TRIPPED, TRIP_SENSOR]);
      });
    }
  }

  it('a spike of one tick opens the legs for that tick and is forgotten', () => {
    for (const channel of ['ia', 'ib', 'ic', 'link'] as const) {
      const rig = new LoadedRig();
      rig.broken = (sense) => {
        sense[channel] = FULL;
      };
      expect([rig.tick().gates, rig.drive.state, rig.drive.trip], channel).toEqual([0, STATE_WAITING, TRIP_SENSOR]);
      rig.broken = () => {};
      expect([rig.tick().state, rig.drive.trip], channel).toEqual([STATE_RUNNING, 0]);
      expect(rig.drive.gates, channel).not.toBe(0);
    }
  });

  it('a railed channel is no zero to calibrate by', () => {
    for (const counts of [0, FULL, NOT_FITTED]) {
      const rig = new FrameRig();
      rig.sense.ib = counts;
      rig.pull(0.5);
      rig.boot();
      expect([rig.drive.gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_TRIPPED, TRIP_SENSOR]);
    }
  });

  for (const channel of ['ia', 'ib', 'ic'] as const) {
    it(`${channel} that repeats its count while the current goes on trips in time`, () => {
      const rig = new LoadedRig();
      // Caught while the leg carries current, it must be found once the leg has been opened.
      for (let k = 0; k < 500 && Math.abs(rig.sense[channel] - ZERO) < 100; k++) rig.tick();
      const stuck = rig.sense[channel];
      rig.broken = (sense) => {
        sense[channel] = stuck;
      };
      // A leg carries for two sectors, which is when its true current moves; then the stated ticks, and three of a new pair.
      const sector = Math.PI / 3 / 400 / 50e-6;
      const { latched } = rig.untilTripped(2000);
      expect(latched).toBeLessThanOrEqual(2 * sector + STUCK_TICKS + STUCK_HITS + 3);
      expect([rig.drive.gates, rig.drive.trip]).toEqual([0, TRIP_SENSOR]);
    });

    it(`${channel} off by more than a tenth of the range trips in time, off by less it does not`, () => {
      for (const [off, trips] of [
        [SUM_MOST_COUNTS + 5, true],
        [SUM_MOST_COUNTS - 5, false],
      ] as const) {
        const rig = new LoadedRig();
        rig.amperes = 5;
        // The error wobbles by a count, so that nothing repeats itself.
        rig.broken = (sense) => {
          sense[channel] += off + (sense.tick & 1);
        };
        // A tick is judged from the third command alike on; a sector of this speed has 52.
        expect(rig.untilTripped(200).latched <= SUM_TICKS + 3, `${off}`).toBe(trips);
      }
    });
  }
});

describe('check of two shunts', () => {
  /** Sinusoidal currents of a slow turn. */
  function feed(check: CurrentCheck, ticks: number, stuckAt = -1): number {
    const sense = blankSense();
    sense.ic = NOT_FITTED;
    const zero = Float64Array.of(ZERO, ZERO, ZERO);
    for (let k = 1; k <= ticks; k++) {
      sense.ia = stuckAt >= 0 ? stuckAt : ZERO + Math.round(400 * Math.sin(0.01 * k));
      sense.ib = ZERO + Math.round(400 * Math.sin(0.01 * k - 2));
      check.look(sense);
      check.compare(zero, 1);
      if (check.latch === 1) return k;
    }
    return Number.POSITIVE_INFINITY;
  }

  it('finds the one that repeats itself by the other one, and nothing else', () => {
    const check = new CurrentCheck('ab');
    check.reset();
    expect(feed(check, 2000)).toBe(Number.POSITIVE_INFINITY);
    check.reset();
    // Slowest over its crest: from 64 counts before it to 64 counts beyond the start; one tick sets the start.
    const slowest = Math.acos(1 - STUCK_MOVE_COUNTS / 400) / 0.01;
    expect(feed(check, 2000, ZERO + 100)).toBeLessThanOrEqual(1 + Math.max(STUCK_TICKS, 2 * slowest) + STUCK_HITS);
  });

  it('does not miss the shunt that the board does not have, but one that it has', () => {
    const check = new CurrentCheck('ab');
    check.reset();
    const sense = blankSense();
    Object.assign(sense, { ia: ZERO, ib: ZERO, ic: NOT_FITTED });
    check.look(sense);
    expect(check.bad).toBe(0);
    sense.ib = NOT_FITTED;
    check.look(sense);
    expect(check.bad).toBe(1);
  });
});

describe('missed ticks', () => {
  it('are driven through when one is missing, and open the legs for one tick when more are', () => {
    const rig = new LoadedRig();
    rig.sense.tick += 1;
    expect(rig.tick().gates).not.toBe(0);
    rig.sense.tick += 2;
    expect([rig.tick().gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_WAITING, 0]);
    expect([rig.tick().state, rig.drive.gates === 0]).toEqual([STATE_RUNNING, false]);
  });

  it('count right across the wrap of the tick', () => {
    const rig = new LoadedRig();
    rig.sense.tick = 0xffffffff;
    rig.tick();
    expect(rig.sense.tick).toBe(0);
    expect(rig.tick().gates).not.toBe(0);
    rig.sense.tick = 0xffffffff;
    rig.tick();
    rig.sense.tick = 2;
    expect(rig.tick().gates).toBe(0);
  });

  it('say nothing while the trigger is released', () => {
    const rig = new LoadedRig();
    rig.speed_rad_s = 4000;
    rig.pull(0);
    rig.run(20);
    rig.sense.tick += 100;
    expect([rig.tick().gates, rig.drive.state]).toEqual([0, STATE_READY]);
  });
});
