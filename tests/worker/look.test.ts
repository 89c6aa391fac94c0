/** What an archive keeps and how it is read: nothing left out, no spike hidden, as exact at 10 h as at 0. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { slot } from '../../src/plant/slots.ts';
import { SIGNAL_INDEX as S, SIGNALS } from '../../src/signals.ts';
import { Archive, COLUMN_TICKS } from '../../worker/archive.ts';
import { Course } from '../../worker/course.ts';
import { detail } from '../../worker/detail.ts';
import { look } from '../../worker/look.ts';
import { makeBench } from '../../worker/make-bench.ts';
import { Past } from '../../worker/past.ts';
import type { Detail } from '../../worker/past-api.ts';

const PERIOD_S = 50e-6;
const TEN_HOURS_TICKS = (10 * 3600) / PERIOD_S;

/** An archive of a level signal with one spike; ring of 1000 periods, columns of 100 000. */
function spiked(ticks: number, spike: number, begin = 0): Archive {
  const archive = new Archive(PERIOD_S, 1, begin, 1000 * PERIOD_S, 100_000 * PERIOD_S);
  const sample = new Float64Array(SIGNALS.length).fill(1);
  for (let n = begin; n < begin + ticks; n++) {
    sample[S.currentA] = n === spike ? 99 : 1;
    sample[S.currentB] = n;
    archive.note(sample, n % 2 === 0 ? undefined : [n]);
  }
  return archive;
}

describe('look', () => {
  const archive = spiked(20_000, 19_321);

  it('leaves no value out where there is room for all', () => {
    const ask = {
      channels: ['currentB', 'watch 0'] as const,
      from_s: 19_500 * PERIOD_S,
      to_s: 19_600 * PERIOD_S,
      points: 200,
    };
    const { kind, data, from_s, step_s } = look(archive, ask, []);
    expect([kind, step_s, data[0].length]).toEqual(['values', PERIOD_S, 101]);
    // The value at a moment is that at the end of the period that ends there.
    expect([...data[0].slice(0, 3)]).toEqual([19_499, 19_500, 19_501]);
    expect(from_s).toBeCloseTo(19_500 * PERIOD_S, 12);
    expect([...data[1].slice(0, 3)]).toEqual([19_499, Number.NaN, 19_501]);
  });

  it('shows a spike of one period at any zoom', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 19_320 }),
        fc.integer({ min: 19_323, max: 20_000 }),
        fc.integer({ min: 2, max: 3000 }),
        (from, to, points) => {
          const { data, kind } = look(
            archive,
            { channels: ['currentA'], from_s: from * PERIOD_S, to_s: to * PERIOD_S, points },
            [],
          );
          expect(Math.max(...data[0].filter((v) => !Number.isNaN(v)))).toBe(99);
          expect(data[0].length).toBeLessThanOrEqual(kind === 'spans' ? 2 * points : points);
        },
      ),
    );
  });

  it('keeps the lines between spans where they are while time goes on', () => {
    const at = (shift: number) =>
      look(
        archive,
        { channels: [], from_s: (1000 + shift) * PERIOD_S, to_s: (15_000 + shift) * PERIOD_S, points: 50 },
        [],
      );
    const [a, b] = [at(0), at(7)];
    expect(b.step_s).toBe(a.step_s);
    expect(Math.abs((b.from_s / a.step_s) % 1)).toBeLessThan(1e-9);
  });

  it('reads nothing where nothing is kept, and says what is held', () => {
    const { data, held } = look(archive, { channels: ['currentA'], from_s: 0.99, to_s: 1.02, points: 1000 }, []);
    expect(Number.isNaN(data[0].at(-1)!)).toBe(true);
    expect(held).toEqual({ from_s: 0, to_s: 1 });
  });

  it('refuses channels, spans and numbers of points that are none', () => {
    const ask = { channels: ['currentA'] as const, from_s: 0, to_s: 1, points: 10 };
    expect(() => look(archive, { ...ask, channels: ['watch 1'] }, [])).toThrow(/'watch 0' to 'watch 0'/);
    expect(() => look(archive, { ...ask, from_s: 2 }, [])).toThrow(/in their order/);
    expect(() => look(archive, { ...ask, points: 1 }, [])).toThrow(/points/);
  });

  it('forgets what is cut off, and keeps the column that goes on anew', () => {
    const copy = archive.copy();
    copy.cut(19_300);
    const sample = new Float64Array(SIGNALS.length).fill(1);
    for (let n = 19_300; n < 19_400; n++) copy.note(sample, undefined);
    const { data } = look(copy, { channels: ['currentA'], from_s: 0, to_s: 1, points: 20 }, []);
    expect(Math.max(...data[0].filter((v) => !Number.isNaN(v)))).toBe(1);
    expect(look(archive, { channels: ['currentA'], from_s: 0, to_s: 1, points: 20 }, []).data[0]).toContain(99);
  });
});

describe('a run that began at 10 h', () => {
  const run = (begin: number) => {
    const made = makeBench('bench-18', 'hall-six-step', 1);
    made.bench.plant.state[slot('tick')] = begin;
    const past = new Past(new Course(made));
    past.deed({ kind: 'hands', hands: { meets: 0, trigger: 0.4 } });
    for (let n = 0; n < 6000; n++) {
      past.before();
      made.bench.tickOnce();
      past.after();
    }
    return past;
  };
  const early = run(0);
  const late = run(TEN_HOURS_TICKS);
  const CHANNELS = ['currentA', 'motorSpeed', 'rotorAngle'] as const;

  it.each([
    ['every value', 5000, 5200, 400],
    ['spans of rows (nine periods, a divisor of 10 h)', 1000, 5999, 600],
    ['spans of columns', 100, 5900, 20],
  ])('looks the same as at 0, number by number: %s', (_, from, to, points) => {
    const at = (past: Past, begin: number) => {
      const ask = { channels: CHANNELS, from_s: (begin + from) * PERIOD_S, to_s: (begin + to) * PERIOD_S, points };
      const { data, kind, step_s, from_s } = look(past.archive, ask, []);
      // A double holds a moment at 10 h to 7e-12 s; a float32 only to 4 ms.
      return { data, kind, step_s, first: Math.round((from_s - begin * PERIOD_S) * 1e9) };
    };
    expect(at(late, TEN_HOURS_TICKS)).toEqual(at(early, 0));
  });

  it('shows the same steps of the model within a period', () => {
    const at = (past: Past, begin: number) =>
      detail(past, (begin + 5500) * PERIOD_S, (begin + 5502) * PERIOD_S, CHANNELS) as Detail;
    const [a, b] = [at(early, 0), at(late, TEN_HOURS_TICKS)];
    expect(b.data).toEqual(a.data);
    const apart = Math.max(...a.at_s.map((s, k) => Math.abs(s - b.at_s[k])));
    expect(apart).toBeLessThan(2e-11);
  });

  it('goes back by single periods to the same bits', () => {
    const { plant } = late.course.made.bench;
    const hash = plant.hash();
    const end = plant.tick;
    expect(
      late.rewindTo(
        end - 1,
        0,
        () => {},
        () => {},
      ).ok,
    ).toBe(true);
    expect(plant.tick).toBe(end - 1);
    late.goTo(end, () => {});
    expect(plant.hash()).toBe(hash);
  });

  it('begins its columns where those of a run from 0 would begin', () => {
    expect(TEN_HOURS_TICKS % COLUMN_TICKS).toBe(0);
    expect(late.archive.first).toBe(TEN_HOURS_TICKS);
  });
});
