/** Faults of the running bench: nothing before they are fired, what was ordered while they are there, nothing left afterwards. */
import { beforeAll, describe, expect, it } from 'vitest';
import { Keeper } from '../../src/runner/keeper.ts';
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import { Course } from '../../worker/course.ts';
import type { FaultApi, FaultAsk } from '../../worker/fault-api.ts';
import { faultCalls } from '../../worker/fault-calls.ts';
import { type InProcess, type MadeBench, makeBench } from '../../worker/make-bench.ts';
import type { FaultDeed } from '../../worker/past-api.ts';
import { expectNear } from '../support/near.ts';

/** A bench that drives, and the calls of a page. */
class Rig {
  readonly made: MadeBench & InProcess;
  readonly course: Course;
  readonly calls: FaultApi;
  readonly deeds: { readonly tick: number; readonly deed: FaultDeed }[] = [];

  constructor() {
    this.made = makeBench('bench-18', 'hall-six-step', 1) as MadeBench & InProcess;
    this.course = new Course(this.made);
    this.course.apply({ kind: 'hands', hands: { trigger: 0.6, meets: 0 } });
    this.calls = faultCalls((deed) => {
      this.course.apply(deed);
      this.deeds.push({ tick: this.made.bench.plant.tick, deed });
    });
  }

  run(ticks: number, each?: () => void): this {
    for (let k = 0; k < ticks; k++) {
      this.course.before();
      this.made.bench.tickOnce();
      each?.();
    }
    return this;
  }

  get news() {
    return this.made.faults.news();
  }
  get hash() {
    return this.made.bench.plant.hash();
  }
  get time_s() {
    return this.made.bench.plant.time_s;
  }
  /** Mean sum of the three readings of current over some ticks [A]: by Kirchhoff nothing but what the sensors get wrong. */
  mean_A(ticks: number): number {
    const { sample } = this.made.bench;
    let sum_A = 0;
    this.run(ticks, () => {
      sum_A += sample[S.sensedA] + sample[S.sensedB] + sample[S.sensedC];
    });
    return sum_A / ticks;
  }
}

const KIRCHHOFF =
  'Kirchhoff: all else cancels, but for a rounding of the offset to whole counts of 0.08 A and twice the noise of a mean, 0.01 A';
const OFFSET: FaultAsk = { fault: 'shunt-offset', leg: 'a', size: 5 };
/** Speed of a drill without load at this trigger is reached long before. */
const DRIVING = 2000;

describe('a fault that is not in force', () => {
  let bare: string;
  beforeAll(() => {
    bare = new Rig().run(DRIVING).hash;
  });

  it('leaves every bit of the bench alone while it is armed, waits for its moment, or waits for its condition', () => {
    const rig = new Rig();
    rig.calls.armFault(OFFSET);
    const later = rig.calls.armFault({ fault: 'magnet-weak', when: { kind: 'at', at_s: 10 } });
    const when = { kind: 'when', signal: 'currentA', side: 'above', value: 1e6, held_s: 0 } as const;
    const never = rig.calls.armFault({ fault: 'board-reset', when });
    rig.calls.fireFault(later);
    rig.calls.fireFault(never);
    expect(rig.run(DRIVING).hash).toBe(bare);
    expect(rig.news.faults.map(({ state }) => state)).toEqual(['armed', 'waits', 'waits']);
    expect(rig.news.faultSpans).toEqual([]);
  });

  it('leaves them alone when it is disarmed again', () => {
    const rig = new Rig();
    const handle = rig.calls.armFault(OFFSET);
    rig.run(DRIVING / 2).calls.clearFault(handle);
    expect(rig.run(DRIVING / 2).hash).toBe(bare);
    expect(rig.news.faults).toEqual([]);
  });
});

describe('a fault that is fired', () => {
  it('acts from the next tick on, is told, and heals when it is cleared', () => {
    const rig = new Rig().run(DRIVING);
    const handle = rig.calls.armFault(OFFSET);
    const whole_A = rig.mean_A(400);
    rig.calls.fireFault(handle);
    const fired_s = rig.time_s;
    rig.run(1);
    expect(rig.news.faults[0]).toMatchObject({
      handle,
      fault: 'shunt-offset',
      leg: 'a',
      place: 'sensing',
      state: 'active',
      size: 5,
    });
    expectNear(rig.news.faults[0].since_s, fired_s, { abs: 1e-9, because: 'the same tick, as a sum of periods' });
    expectNear(rig.mean_A(400) - whole_A, 5, { abs: 0.1, because: KIRCHHOFF });
    rig.calls.clearFault(handle);
    const cleared_s = rig.time_s;
    expectNear(rig.mean_A(400) - whole_A, 0, { abs: 0.1, because: KIRCHHOFF });
    const [[from_s, to_s]] = rig.news.faultSpans;
    expectNear(from_s, fired_s, { abs: 1e-9, because: 'the same tick, as a sum of periods' });
    expectNear(to_s, cleared_s, { abs: 1e-9, because: 'the same tick, as a sum of periods' });
  });

  it('begins so long after firing as was ordered, stays so long, and can be fired again', () => {
    const rig = new Rig();
    const handle = rig.calls.armFault({ ...OFFSET, when: { kind: 'after', after_s: 0.005 }, for_s: 0.002 });
    rig.calls.fireFault(handle);
    const { damage } = rig.made.bench.plant;
    const there: number[] = [];
    rig.run(200, () => there.push(damage.get('shuntOffA')));
    expect([there.indexOf(5), there.lastIndexOf(5)]).toEqual([100, 139]);
    expect(rig.news.faults[0].state).toBe('armed');
    rig.calls.fireFault(handle);
    rig.run(101);
    expect(rig.news.faults[0].state).toBe('active');
  });

  it('begins one tick after a signal has passed a value', () => {
    const rig = new Rig();
    const when = { kind: 'when', signal: 'motorSpeed', side: 'above', value: 50, held_s: 0 } as const;
    rig.calls.fireFault(rig.calls.armFault({ ...OFFSET, when }));
    const { bench } = rig.made;
    const speeds: number[] = [];
    const there: number[] = [];
    rig.run(DRIVING, () => {
      speeds.push(bench.sample[S.motorSpeed]);
      there.push(bench.plant.damage.get('shuntOffA'));
    });
    const passed = speeds.findIndex((speed) => speed > 50);
    expect(passed).toBeGreaterThan(0);
    expect(there.indexOf(5)).toBe(passed + 1);
  });

  it('adds up with others of the same part, and leaves the rest when one is cleared', () => {
    const rig = new Rig();
    const [one, two] = [rig.calls.armFault(OFFSET), rig.calls.armFault({ ...OFFSET, size: -2 })];
    rig.calls.fireFault(one);
    rig.calls.fireFault(two);
    const { damage } = rig.run(1).made.bench.plant;
    expect(damage.get('shuntOffA')).toBe(3);
    rig.calls.clearFault(one);
    rig.run(1);
    expect(damage.get('shuntOffA')).toBe(-2);
    rig.calls.clearFaults();
    rig.run(1);
    expect(damage.get('shuntOffA')).toBe(0);
    expect(rig.news.faults).toEqual([]);
    expect(rig.news.faultSpans).toHaveLength(1);
  });
});

describe('deeds of faults', () => {
  /** A run with an intermittent fault, so that chance is in it, too. */
  const acted = () => {
    const rig = new Rig().run(500);
    const shape = { kind: 'intermittent', on_s: 0.003, off_s: 0.002 } as const;
    const handle = rig.calls.armFault({ fault: 'magnet-weak', size: 0.3, shape });
    rig.run(37).calls.fireFault(handle);
    rig.run(800).calls.fireFault(rig.calls.armFault(OFFSET));
    rig.run(300).calls.clearFault(handle);
    return rig.run(400);
  };

  it('make the same bits when they are done again at their ticks', () => {
    const rig = acted();
    const again = new Rig();
    for (const { tick, deed } of rig.deeds) {
      again.run(tick - again.made.bench.plant.tick);
      again.course.apply(deed);
    }
    again.run(rig.made.bench.plant.tick - again.made.bench.plant.tick);
    expect(again.hash).toBe(rig.hash);
    expect(again.news).toEqual(rig.news);
  });

  it('stand in a snapshot, with the moment of what comes and goes', () => {
    const rig = new Rig().run(100);
    const shape = { kind: 'intermittent', on_s: 0.003, off_s: 0.002 } as const;
    rig.calls.fireFault(rig.calls.armFault({ fault: 'magnet-weak', size: 0.3, shape }));
    const { bench, faults } = rig.run(333).made;
    const keeper = new Keeper([faults]);
    const kept = keeper.save();
    const flux = () => {
      const seen: number[] = [];
      for (let k = 0; k < 1000; k++) {
        const at = {
          plant: { time_s: (433 + k) * 50e-6, period_s: 50e-6, damage: bench.plant.damage },
          sample: bench.sample,
        };
        faults.act(at as unknown as typeof bench);
        seen.push(bench.plant.damage.get('fluxLost'));
      }
      return seen;
    };
    const first = flux();
    rig.calls.clearFaults();
    keeper.restore(kept);
    expect(flux()).toEqual(first);
    expect(new Set(first)).toEqual(new Set([0, 0.3]));
  });
});

describe('what is asked for', () => {
  const calls = () => new Rig().calls;
  const refused = (ask: unknown) => {
    try {
      calls().armFault(ask as FaultAsk);
    } catch (error) {
      return (error as Error).message;
    }
    return 'not refused';
  };

  it('is refused in words: what is wrong, and what is allowed', () => {
    expect(refused({ fault: 'shunt-ofset', leg: 'a' })).toMatch(
      /'shunt-ofset' is not in the catalogue; .*shunt-offset/,
    );
    expect(refused({ fault: 'constructor' })).toMatch(/is not in the catalogue/);
    expect(refused({ ...OFFSET, size: 50 })).toBe(
      'offset of a current channel: size is 50\u00a0A; allowed is \u221240\u00a0A to 40\u00a0A (current that it reads too much)',
    );
    expect(refused({ ...OFFSET, size: Number.NaN })).toMatch(/size is NaN.A; allowed/);
    expect(refused({ fault: 'shunt-gain', leg: 'a', size: 2 })).toMatch(/size is 200.%; allowed is .100.% to 100.%/);
    expect(refused({ fault: 'shunt-offset' })).toMatch(/leg is missing; allowed are a, b, c/);
    expect(refused({ ...OFFSET, leg: 'd' })).toMatch(/leg 'd' is not known/);
    expect(refused({ fault: 'magnet-weak', leg: 'a' })).toMatch(/has no leg/);
    expect(refused({ fault: 'phase-open', leg: 'a', size: 1 })).toMatch(/has no size/);
    expect(refused({ ...OFFSET, shape: { kind: 'ramp', over_s: 0 } })).toMatch(/is 0 s; allowed is 0.0001 s to 600 s/);
    expect(refused({ ...OFFSET, shape: { kind: 'wave' } })).toMatch(/shape 'wave' is not known/);
    expect(refused({ ...OFFSET, when: { kind: 'after', after_s: -1 } })).toMatch(/is -1 s; allowed is 0 s/);
    expect(refused({ ...OFFSET, when: { kind: 'soon' } })).toMatch(/moment 'soon' is not known/);
    const when = { kind: 'when', signal: 'currentX', side: 'above', value: 1, held_s: 0 };
    expect(refused({ ...OFFSET, when })).toMatch(/signal 'currentX' is not known/);
    expect(refused({ ...OFFSET, for_s: 0 })).toMatch(/time for which it stays is 0 s/);
  });

  it('is refused when it comes too late', () => {
    const rig = new Rig().run(100);
    const handle = rig.calls.armFault({ ...OFFSET, when: { kind: 'at', at_s: 0.001 } });
    expect(() => rig.calls.fireFault(handle)).toThrow(/its moment, 0.001 s, has passed; the run is at 0.005 s/);
    const other = rig.calls.armFault(OFFSET);
    rig.calls.fireFault(other);
    expect(() => rig.calls.fireFault(other)).toThrow(/has been fired before/);
    rig.calls.clearFault(other);
    expect(() => rig.calls.clearFault(other)).toThrow(/is not there any more/);
  });

  it('is refused when there are too many', () => {
    const { calls } = new Rig();
    for (let k = 0; k < 20; k++) calls.armFault(OFFSET);
    expect(() => calls.armFault(OFFSET)).toThrow(/20 faults are armed or active; allowed are 20/);
  });

  it('names signals in which every fault of the catalogue is seen, by leg', () => {
    const rows = calls().faultRows();
    for (const { id, signals } of rows) {
      expect(signals.a.length, id).toBeGreaterThan(0);
      for (const signal of signals.a) expect(S, id).toHaveProperty(signal);
    }
    const offset = rows.find(({ id }) => id === 'shunt-offset');
    expect(offset?.signals.b).toEqual(['currentB', 'sensedB', 'currentD', 'currentQ', 'airGapTorque']);
    expect(offset?.size).toMatchObject({ unit: 'A', low: -40, high: 40, usual: 2 });
  });
});
