/** What a keeper puts back, and what it refuses. */
import { describe, expect, it } from 'vitest';
import { FAULTS } from '../../src/faults/catalogue.ts';
import { Keeper } from '../../src/runner/keeper.ts';
import { Course } from '../../worker/course.ts';
import { makeBench } from '../../worker/make-bench.ts';

/** 1 s of the first moment, 0.05 s of the others. */
const SECOND = 20_000;

describe('Keeper', () => {
  it('puts numbers, words, arrays that grew and objects that came back as they were', () => {
    class Part {
      level = 1;
      name = 'a';
      list: unknown[] = [1, { deep: 2 }];
      numbers = Float64Array.of(1, Number.NaN, -0);
      next: Part | undefined;
    }
    const part = new Part();
    const keeper = new Keeper([part]);
    const kept = keeper.save();
    const before = structuredClone(part);
    part.level = 2;
    part.name = 'b';
    (part.list[1] as { deep: number }).deep = 3;
    part.list.push('more');
    part.numbers.fill(7);
    part.next = new Part();
    Object.assign(part, { late: 1 });
    keeper.restore(kept);
    expect(structuredClone(part)).toStrictEqual(before);
  });

  it.each([
    ['a function', { run: () => 1 }, 'Object.run is a function'],
    ['a map', { all: new Map() }, 'Object.all is Map'],
    ['an accessor', Object.defineProperty({}, 'x', { get: () => 1, enumerable: true }), 'Object.x is an accessor'],
    ['a promise', { soon: [Promise.resolve()] }, 'Object.soon[0] is Promise'],
    ['a symbol', { [Symbol('s')]: 1 }, 'Object has a field that is named by a symbol'],
  ])('refuses %s, naming the field', (_, root, words) => {
    expect(() => new Keeper([root])).toThrow(words);
  });

  it('refuses a class with fields that nobody outside sees', () => {
    class Shut {
      #level = 1;
      step(): number {
        return this.#level++;
      }
    }
    expect(() => new Keeper([{ part: new Shut() }])).toThrow(/part is of class Shut/);
  });

  it('refuses a controller that closes over its state', () => {
    const counting = () => {
      let ticks = 0;
      return { tick: () => ticks++ };
    };
    expect(() => new Keeper([{ controller: counting() }])).toThrow(/tick is a function/);
  });
});

describe.each(['hall-six-step', 'sensorless'])('a bench with %s, noise and faults', (controller) => {
  it('runs on with the same bits and the same answers from 20 moments', { timeout: 60_000 }, () => {
    const made = makeBench('bench-18', controller, 3);
    const course = new Course(made);
    const { bench, faults, held } = made;
    const order = { size: 1, leg: 'b' as const, shape: { kind: 'intermittent', on_s: 0.02, off_s: 0.03 } as const };
    course.apply({ kind: 'hands', hands: { meets: 1, gear: 1, trigger: 0.7 } });
    const arm = (handle: number, fault: string, more: object) => {
      const full = { ...order, ...more, fault, when: { kind: 'at once' as const } };
      course.apply({ kind: 'fault', what: 'arm', handle, order: full });
      course.apply({ kind: 'fault', what: 'fire', handle });
    };
    arm(1, 'shunt-offset', { size: 0.4 });
    arm(2, 'clock-skew', { size: 0.02, leg: undefined });
    const apart = [bench.plant, bench.plant.state, ...Object.values(FAULTS)];
    const keeper = new Keeper([bench, held, course.finger, faults], apart);
    const tick = () => {
      course.before();
      bench.tickOnce();
    };
    const drives: number[] = [];
    const run = (ticks: number, note: (k: number, value: number) => void) => {
      let k = 0;
      for (let n = 0; n < ticks; n++) {
        tick();
        const { gates, dutyA, dutyB, dutyC, state, trip, watch } = bench.drive;
        for (const value of [gates, dutyA, dutyB, dutyC, state, trip, ...watch]) note(k++, value);
      }
    };
    for (let n = 0; n < 0.4 * SECOND; n++) tick();
    let moment = 12_345;
    for (let k = 0; k < 20; k++) {
      moment = (moment * 1_103_515_245 + 12_345) % 2 ** 31;
      for (let n = 0; n < moment % 300; n++) tick();
      const plant = bench.plant.snapshot();
      const rest = keeper.save();
      drives.length = 0;
      const ticks = k === 0 ? SECOND : SECOND / 20;
      run(ticks, (at, value) => {
        drives[at] = value;
      });
      const hash = bench.plant.hash();
      bench.plant.restore(plant);
      keeper.restore(rest);
      let unequal = 0;
      run(ticks, (at, value) => {
        if (!Object.is(drives[at], value)) unequal++;
      });
      expect({ unequal, hash: bench.plant.hash() }).toStrictEqual({ unequal: 0, hash });
      expect(bench.counters.clockSlips ?? 0).toBeGreaterThan(0);
    }
  });
});
