/** What the waves ask of the past of a run: a live view asks for what is new alone, and holds what a whole answer would. */
import { describe, expect, it } from 'vitest';
import { Feed, type Past, type Wish } from '../../components/wave-bench/feed.ts';
import { SIGNAL_INDEX as S, SIGNALS } from '../../src/signals.ts';
import type { Look, Looked } from '../../worker/api.ts';
import { Archive } from '../../worker/archive.ts';
import { look } from '../../worker/look.ts';

const PERIOD_S = 5e-5;
const CHANNELS = ['currentA', 'link'] as const;

/** An archive that grows, and a past that reads it and counts what it was asked for. */
function growing(begin: number) {
  const archive = new Archive(PERIOD_S, 0, begin);
  const sample = new Float64Array(SIGNALS.length);
  const asked: number[] = [];
  const past: Past = {
    async look({ run: _, ...ask }: Look): Promise<Looked> {
      asked.push(ask.to_s - ask.from_s);
      return look(archive, ask, []);
    },
    detail: async () => ({ ok: false, why: 'not here' }),
    marks: async () => [],
  };
  const run = (periods: number): void => {
    for (let k = 0; k < periods; k++) {
      sample[S.currentA] = Math.sin(archive.end * 0.37) * (archive.end % 977 === 0 ? 50 : 1);
      sample[S.link] = archive.end % 1303;
      archive.note(sample, undefined);
    }
  };
  return { archive, past, asked, run };
}

/** Asks once and waits for the answer. */
async function pull(feed: Feed, past: Past, wish: Wish): Promise<void> {
  const round = feed.round;
  const errors: unknown[] = [];
  expect(feed.pull(past, wish, 0, (error) => errors.push(error))).toBe(true);
  for (let k = 0; k < 50 && feed.round === round && errors.length === 0; k++)
    await new Promise((done) => setTimeout(done, 0));
  expect(errors).toEqual([]);
  await new Promise((done) => setTimeout(done, 0));
}

describe('a live view', () => {
  // 5 ms columns, columns of a few periods, and both ten hours into a run.
  it.each([
    [0.5, 0],
    [8, 0],
    [0.5, 36_000 / PERIOD_S],
    [8, 36_000 / PERIOD_S],
  ])(
    'of %s s, begun at period %s, holds the same columns as a whole answer, and asks for little',
    async (span_s, begin) => {
      const { archive, past, asked, run } = growing(begin);
      const feed = new Feed();
      run(20_000);
      for (let turn = 0; turn < 25; turn++) {
        const now_s = archive.end * PERIOD_S;
        const view = { live: true, from_s: now_s - span_s, to_s: now_s };
        await pull(feed, past, {
          view,
          channels: CHANNELS,
          points: 700,
          period_s: PERIOD_S,
          ghost: false,
          still: false,
        });
        const { looked } = feed;
        if (!looked) throw new Error('nothing came');
        expect(looked.kind).toBe('spans');
        const each = Math.round(looked.step_s / PERIOD_S);
        const first = Math.round(looked.from_s / PERIOD_S);
        const [current] = looked.data;
        let compared = 0;
        for (let k = 0; k < current.length / 2; k++) {
          const from = first + k * each;
          if (from < archive.firstRow || from + each > archive.end) continue;
          let low = Number.POSITIVE_INFINITY;
          let high = Number.NEGATIVE_INFINITY;
          for (let n = from; n < from + each; n++) {
            low = Math.min(low, archive.row(n, S.currentA));
            high = Math.max(high, archive.row(n, S.currentA));
          }
          expect([current[2 * k], current[2 * k + 1]]).toEqual([low, high]);
          compared++;
        }
        // All that the run holds of the view, but for the column that is not full.
        const held = Math.floor((Math.min(span_s, now_s - begin * PERIOD_S) / PERIOD_S - each) / each);
        expect(compared).toBeGreaterThanOrEqual(held - 1);
        run(700 + 37 * turn);
      }
      const whole = asked.filter((asked_s) => asked_s > span_s / 2).length;
      expect(whole).toBeLessThanOrEqual(2);
    },
  );

  it('asks for everything once something else is picked or the span is another', async () => {
    const { archive, past, asked, run } = growing(0);
    const feed = new Feed();
    run(20_000);
    const wish = (span_s: number, channels: Wish['channels']): Wish => {
      const now_s = archive.end * PERIOD_S;
      return {
        view: { live: true, from_s: now_s - span_s, to_s: now_s },
        channels,
        points: 700,
        period_s: PERIOD_S,
        ghost: false,
        still: false,
      };
    };
    await pull(feed, past, wish(0.5, CHANNELS));
    run(800);
    await pull(feed, past, wish(0.5, CHANNELS));
    expect(asked[1]).toBeLessThan(0.1);
    run(800);
    await pull(feed, past, wish(0.5, ['link']));
    expect(asked[2]).toBeGreaterThan(0.5);
    expect(feed.looked?.data).toHaveLength(1);
    run(800);
    await pull(feed, past, wish(0.25, ['link']));
    expect(asked[3]).toBeGreaterThan(0.25);
  });
});
