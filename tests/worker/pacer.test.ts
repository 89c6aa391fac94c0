/** What is due comes from the clock: a late timer is caught up, a sleep is not, and what is dropped is booked to the last bit. */
import { describe, expect, it } from 'vitest';
import { CATCH_UP_S, Pacer } from '../../worker/pacer.ts';
import { DrillService } from '../../worker/service.ts';
import { expectNear } from '../support/near.ts';

const because = 'sums of some hundred numbers of a second';

describe('a pacer', () => {
  it('catches up with a timer that comes late', () => {
    const pacer = new Pacer();
    pacer.start(10);
    for (const at_s of [10.004, 10.03, 10.031, 10.08]) pacer.done(pacer.due(at_s));
    expect(pacer.lost_s).toBe(0);
    expect(pacer.due(10.08)).toBe(0);
  });

  it('lets a tab that looks at its clock once a second run a tenth of life, and books the rest', () => {
    const pacer = new Pacer();
    pacer.start(0);
    let done_s = 0;
    for (let at_s = 1; at_s <= 60; at_s++) {
      const due_s = pacer.due(at_s);
      pacer.done(due_s);
      done_s += due_s;
    }
    expectNear(done_s, 60 * CATCH_UP_S, { abs: 1e-12, because });
    expectNear(done_s + pacer.lost_s, 60, { abs: 1e-12, because });
    expectNear(pacer.ratio, CATCH_UP_S, { abs: 1e-12, because });
  });

  it('makes nothing up after an hour of sleep', () => {
    const pacer = new Pacer();
    pacer.start(0);
    expect(pacer.due(3600)).toBe(CATCH_UP_S);
    expectNear(pacer.lost_s, 3600 - CATCH_UP_S, { abs: 1e-12, because });
  });

  it('counts in time of the drill: at a hundredth of life a sleep of an hour loses 36 s', () => {
    const pacer = new Pacer();
    pacer.pace = 0.01;
    pacer.start(0);
    pacer.due(3600);
    expectNear(pacer.lost_s, 36 - 0.01 * CATCH_UP_S, { abs: 1e-12, because });
  });
});

describe('a worker that was kept from running', () => {
  it('leaves the gap in the record where it happened, with what it lost', async () => {
    const service = new DrillService();
    const api = service.facade();
    api.load('bench-18', 'hall-six-step', 1);
    const { pacer, past } = service as unknown as {
      pacer: Pacer;
      past: { now_s: number; gaps: [number, number][] };
    };
    api.run();
    await new Promise((done) => setTimeout(done, 100));
    const before = { at_s: past.now_s, lost_s: pacer.lost_s };
    const begin_ms = performance.now();
    while (performance.now() - begin_ms < 400); // nothing else runs meanwhile
    await new Promise((done) => setTimeout(done, 30));
    api.freeze();
    const all_s = past.gaps.reduce((sum, [, lost_s]) => sum + lost_s, 0);
    expectNear(all_s, pacer.lost_s, { abs: 1e-12, because });
    expect(pacer.lost_s - before.lost_s).toBeGreaterThan(0.4 - CATCH_UP_S - 0.01);
    const [at_s] = past.gaps.at(-1) ?? [Number.NaN];
    // Gaps within a quarter of a second are one, which begins with the first of them.
    expect(at_s).toBeGreaterThan(before.at_s - 0.25);
    const marks = api.marks(0, past.now_s + 1).filter(({ kind }) => kind === 'slow');
    expect(marks.some(({ words }) => /^Lost time: \d+ ms/.test(words))).toBe(true);
  });

  it('tells each loss once among the marks, whatever the hands do meanwhile', () => {
    const service = new DrillService();
    const api = service.facade();
    api.load('bench-18', 'hall-six-step', 1);
    const { past } = service as unknown as { past: { now_s: number; slow(lost_s: number): void } };
    const loses = (lost_s: number, trigger: number, periods: number) => {
      past.slow(lost_s);
      api.setHands({ trigger });
      api.step(periods);
    };
    loses(0.005, 0.1, 20);
    loses(0.007, 0.2, 6000); // 0.3 s: longer than what counts as one
    loses(0.1, 0, 20);
    const told = api.marks(0, past.now_s + 1).filter(({ kind }) => kind === 'slow');
    expect(told.map(({ at_s, words }) => [at_s, words])).toEqual([
      [0, 'Lost time: 12 ms'],
      [0.301, 'Lost time: 100 ms'],
    ]);
  });
});
