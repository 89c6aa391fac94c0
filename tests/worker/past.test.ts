/** Going back in a run: the same bits, what is kept, what is looked at step by step, and what is compared. */
import { beforeAll, describe, expect, it } from 'vitest';
import { openMemoryLink } from '../../src/links/memory.ts';
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import type { DrillApi, NoPast } from '../../worker/api.ts';
import { BLOCK_BYTES, blockViews, HEAD_INDEX } from '../../worker/block.ts';
import { Course } from '../../worker/course.ts';
import { detail } from '../../worker/detail.ts';
import { look } from '../../worker/look.ts';
import { makeBoardBench } from '../../worker/make-bench.ts';
import { Past } from '../../worker/past.ts';
import { DrillService } from '../../worker/service.ts';
import { sixStep } from '../runner/rig.ts';
import { expectNear } from '../support/near.ts';

const PERIOD_S = 50e-6;

interface Rig {
  readonly api: DrillApi;
  readonly service: DrillService;
  hash(): string;
  tick(): number;
}

function rig(controller = 'hall-six-step'): Rig {
  const service = new DrillService();
  const api = service.facade();
  api.load('bench-18', controller, 1);
  const bench = () => (service as unknown as { made: { bench: import('../../src/runner/bench.ts').Bench } }).made.bench;
  return { api, service, hash: () => bench().plant.hash(), tick: () => bench().plant.tick };
}

const ok = <T>(answer: T | NoPast): T => {
  if (typeof answer === 'object' && answer !== null && 'ok' in answer && answer.ok === false)
    throw new Error(answer.why);
  return answer as T;
};

describe('a run with a squeeze, a change of gear, Stop and a new squeeze', () => {
  let run: Rig;
  const hashes = new Map<number, string>();

  beforeAll(() => {
    run = rig();
    const { api } = run;
    const go = (periods: number) => {
      for (let k = 0; k < periods; k += 500) {
        api.step(500);
        hashes.set(run.tick(), run.hash());
      }
    };
    api.setHands({ meets: 1, gear: 2, direction: 1, trigger: 0.5 });
    go(6000);
    api.setHands({ gear: 1 });
    go(4000);
    api.stop();
    go(2000);
    api.setHands({ trigger: 0.8 });
    const handle = api.armFault({ fault: 'shunt-offset', leg: 'a', size: 1 });
    api.fireFault(handle);
    go(4000);
  }, 60_000);

  it('has the same bits at every moment that it goes back to, in any order', () => {
    for (const tick of [15_500, 500, 9000, 12_500, 10_500, 16_000]) {
      expect(run.api.rewindTo(tick * PERIOD_S)).toEqual({ ok: true, at_s: tick * PERIOD_S });
      expect([tick, run.hash()]).toEqual([tick, hashes.get(tick)]);
    }
  });

  it('goes through the same deeds again to the same end', () => {
    run.api.rewindTo(4000 * PERIOD_S);
    for (let k = 0; k < 12; k++) run.api.step(1000);
    expect([run.tick(), run.hash()]).toEqual([16_000, hashes.get(16_000)]);
  });

  it('steps back by periods', () => {
    run.api.rewindTo(12_000 * PERIOD_S);
    expect(run.api.stepBack(1500)).toMatchObject({ ok: true });
    expect(run.hash()).toBe(hashes.get(10_500));
    run.api.rewindTo(16_000 * PERIOD_S);
  });

  it('says in words what it cannot go to', () => {
    expect(run.api.rewindTo(1)).toEqual({ ok: false, why: expect.stringContaining('has not happened yet') });
    expect(run.api.stepBack(20_000)).toEqual({ ok: false, why: expect.stringContaining('no longer kept') });
    expect(run.hash()).toBe(hashes.get(16_000));
  });

  it('shows steps of 1 us or less that end where the period does, and leaves the bench where it is', () => {
    const detail = ok(run.api.detail(0.25, 0.2505, ['currentA', 'motorSpeed', 'trigger', 'watch 0']));
    expect(run.hash()).toBe(hashes.get(16_000));
    // The same once more, this time from where the last look began.
    expect(run.api.detail(0.25, 0.2505, ['currentA'])).toMatchObject({ at_s: detail.at_s, data: [detail.data[0]] });
    expect(run.hash()).toBe(hashes.get(16_000));
    const steps = [...detail.at_s].map((at, k, all) => at - (k === 0 ? 0 : all[k - 1]));
    expect(detail.at_s.length).toBeGreaterThan(500);
    expect(Math.max(...steps)).toBeLessThan(1.001e-6);
    const looked = run.api.look({
      run: 'now',
      channels: ['currentA', 'motorSpeed'],
      from_s: 0.25,
      to_s: 0.2505,
      points: 100,
    });
    expect(looked.kind).toBe('values');
    for (let k = 1; k < looked.data[0].length; k++) {
      const at = detail.at_s.findIndex((s) => Math.abs(s - k * PERIOD_S) < 1e-9);
      expect(at).toBeGreaterThan(0);
      expect(detail.data[0][at]).toBe(looked.data[0][k]);
      expect(detail.data[1][at]).toBe(looked.data[1][k]);
    }
    const within = detail.data[0].slice(0, 50);
    expect(Math.max(...within)).toBeGreaterThan(Math.min(...within));
  });

  it('refuses more than 2 ms step by step, and a channel that nobody knows', () => {
    expect(run.api.detail(0.1, 0.2, ['currentA'])).toEqual({ ok: false, why: expect.stringContaining('2 ms') });
    expect(() => run.api.detail(0.1, 0.101, ['watch 40'])).toThrow(/'watch 0' to/);
  });

  it('marks deeds and faults', () => {
    const words = run.api.marks(0, 1).map(({ words }) => words);
    expect(words).toEqual(expect.arrayContaining(['Gear 1', 'Stop', 'Fault armed: shunt-offset', 'Fault active']));
  });

  it('goes through the deeds on another bench to the same bits, and differs by nothing', async () => {
    expect(await run.api.ghostOf({})).toEqual({ ok: true });
    const table = ok(run.api.differences(['currentA', 'chuckSpeed'], 0, 0.8));
    expect(table.exact).toBe(true);
    expect(table.rows.map(({ apart }) => apart)).toEqual([0, 0]);
    expect(table.rows[1].mean[2]).toBe(0);
  });

  it('shows another resistance of the winding as the ghost', async () => {
    await run.api.ghostOf({ changes: [{ key: 'winding.r_ohm', value: 0.03 }] });
    const { rows } = ok(run.api.differences(['chuckSpeed'], 0, 0.3));
    expect(rows[0].apart).toBeGreaterThan(0.1);
    await expect(run.api.ghostOf({ changes: [{ key: 'winding.r', value: 1 }] })).rejects.toThrow(
      /no number of a drill/,
    );
    await expect(run.api.ghostOf({ controller: 'nobody' })).rejects.toThrow(/not known/);
  });

  it('keeps what came after as the ghost when a hand does something else', () => {
    run.api.rewindTo(5000 * PERIOD_S);
    run.api.setHands({ trigger: 0.2 });
    for (let k = 0; k < 5; k++) run.api.step(1000);
    expect(run.hash()).not.toBe(hashes.get(10_000));
    const { rows } = ok(run.api.differences(['motorSpeed'], 0, 0.25));
    expect(rows[0].apart).toBe(0);
    const later = ok(run.api.differences(['motorSpeed'], 0.4, 0.5));
    expect(later.rows[0].apart).toBeGreaterThan(10);
    expect(run.api.look({ run: 'ghost', channels: [], from_s: 0, to_s: 1, points: 2 }).held.to_s).toBeCloseTo(0.8, 9);
  });
});

describe('freezing by a condition', () => {
  it('stands at the end of the first period in which the speed has risen through the level', () => {
    const { api } = rig();
    api.setHands({ meets: 0, gear: 2, trigger: 0.5 });
    api.freezeWhen({ kind: 'rises through', channel: 'motorSpeed', level: 200, pre_s: 0.1 });
    for (let k = 0; k < 8; k++) api.step(1000);
    const { data, to_s, held } = api.look({ run: 'now', channels: ['motorSpeed'], from_s: 0, to_s: 1, points: 40_000 });
    const first = data[0].findIndex((v) => v >= 200);
    expect(first).toBeGreaterThan(100);
    const mark = api.marks(0, 1).find(({ kind }) => kind === 'freeze');
    expect(mark?.at_s).toBeCloseTo(first * PERIOD_S, 9);
    expect(held.to_s).toBeLessThan(to_s);
  });

  it('freezes on a window that goes across zero, and on work that is met', () => {
    const { api, tick } = rig();
    api.setHands({ meets: 0, gear: 2, trigger: 0.5 });
    api.step(4000);
    api.freezeWhen({ kind: 'between', channel: 'rotorAngle', level: 6.2, upper: 0.1, pre_s: 0 });
    api.step(4000);
    const at = tick();
    const { data } = api.look({
      run: 'now',
      channels: ['rotorAngle'],
      from_s: at * PERIOD_S,
      to_s: at * PERIOD_S,
      points: 2,
    });
    expect(data[0][0] >= 6.2 || data[0][0] <= 0.1).toBe(true);
    api.setHands({ meets: 2 });
    api.freezeWhen({ kind: 'event', event: 'contact', pre_s: 0 });
    api.step(10_000);
    expect(api.marks(0, 2).map(({ kind }) => kind)).toEqual(expect.arrayContaining(['contact', 'freeze']));
  });

  it('refuses what cannot be looked at', () => {
    const { api } = rig();
    expect(() => api.freezeWhen({ kind: 'above', level: 1, pre_s: 0 })).toThrow(/channel is missing/);
    expect(() => api.freezeWhen({ kind: 'above', channel: 'link', pre_s: 0 })).toThrow(/level/);
    expect(() => api.freezeWhen({ kind: 'above', channel: 'link', level: 1, pre_s: 11 })).toThrow(/pre_s/);
    expect(() => api.freezeWhen({ kind: 'event', pre_s: 0 })).toThrow(/event is missing/);
  });
});

describe('blocks after a rewind', () => {
  it('bring the columns up to where the bench stands, and tell the hands of that moment', async () => {
    const { api } = rig();
    const { port1, port2 } = new MessageChannel();
    const seen: { turn: number; tick: number; trigger: number; again: number; end: number; time: number }[] = [];
    port1.onmessage = ({ data }) => {
      if (!(data instanceof ArrayBuffer) || data.byteLength !== BLOCK_BYTES) return;
      const { head, now } = blockViews(data);
      const of = (name: keyof typeof HEAD_INDEX) => head[HEAD_INDEX[name]];
      const end = of('firstColumn') + of('columns');
      seen.push({
        turn: of('turn'),
        tick: of('tick'),
        trigger: of('trigger'),
        again: of('again'),
        end,
        time: now[S.time],
      });
      port1.postMessage(data, [data]);
    };
    api.attach(port2 as unknown as MessagePort);
    api.setHands({ trigger: 0.4 });
    api.step(8000);
    api.setHands({ trigger: 0 });
    api.step(2000);
    api.rewindTo(0.35);
    await new Promise((done) => setTimeout(done, 100));
    const last = seen.at(-1)!;
    expect(last).toMatchObject({ turn: 1, tick: 7000, trigger: 0.4, again: 1, end: 70 });
    expectNear(last.time, 0.35, { abs: 1e-12, because: 'a tick count times the period, in double precision' });
    port1.close();
    port2.close();
  });
});

describe('a run with a board in lock-step', () => {
  it('can be looked at and frozen by a condition, and says that nobody can take a board back', async () => {
    const made = makeBoardBench('bench-18', await openMemoryLink(sixStep()), 1);
    const past = new Past(new Course(made));
    past.deed({ kind: 'hands', hands: { meets: 0, trigger: 0.5 } });
    past.freezeWhen({ kind: 'above', channel: 'motorSpeed', level: 50, pre_s: 0 });
    let frozen = false;
    for (let k = 0; k < 6000 && !frozen; k++) {
      past.before();
      await made.bench.tickOnce();
      frozen = past.after();
    }
    expect(frozen).toBe(true);
    const { held } = look(past.archive, { channels: ['motorSpeed'], from_s: 0, to_s: 1, points: 10 }, []);
    expect(held.to_s).toBeCloseTo(made.bench.plant.time_s, 9);
    const refused = past.rewindTo(
      10,
      0,
      () => {},
      () => {},
    );
    expect(refused).toEqual({ ok: false, why: expect.stringContaining('A board cannot be taken back in time') });
    expect(detail(past, 0.001, 0.002, ['currentA'])).toEqual(refused);
    expect(past.news()).toMatchObject({ fixed: expect.stringContaining('board'), rewound: false });
  });
});
