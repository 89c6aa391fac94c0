/** A few periods of the plant step by step, by going through them again beside the run. */
import { placeOf, requireSpan } from './look.ts';
import { PAST_WORDS } from './mark-words.ts';
import type { Past } from './past.ts';
import type { Channel, Detail, NoPast } from './past-api.ts';

/** Longest span [s], with room for rounding. */
const MOST_S = 2.0001e-3;
/** Share of a period that is rounding of a moment. */
const ROUNDING = 1e-6;

/** @returns the steps in the span, and those of the periods at its ends that lie outside are left out */
export function detail(past: Past, from_s: number, to_s: number, channels: readonly Channel[]): Detail | NoPast {
  requireSpan({ from_s, to_s });
  if (to_s - from_s > MOST_S) return { ok: false, why: PAST_WORDS.long };
  const { period_s, end } = past.archive;
  const places = channels.map((channel) => placeOf(channel, past.archive));
  const first = Math.max(0, Math.floor(from_s / period_s + ROUNDING));
  const last = Math.min(end, Math.ceil(to_s / period_s - ROUNDING));
  const why = past.reach(first) || past.reach(last);
  if (why !== '') return { ok: false, why };
  const at: number[] = [];
  const data: number[][] = places.map(() => []);
  past.aside(() => {
    const { made } = past.course;
    if (made.coupling !== 'in-process') return;
    const { bench } = made;
    past.lookFrom(first);
    const signals = bench.sample.length;
    // Moments as offsets: the difference of two large times would have lost its last digits.
    let tick = first;
    const from_ticks = from_s / period_s;
    const onStep = (): void => {
      const within = bench.plant.tick > tick ? period_s : bench.plant.read('inPeriod');
      const offset_s = (tick - from_ticks) * period_s + within;
      if (offset_s < 0 || offset_s > to_s - from_s + period_s * 1e-6) return;
      at.push(offset_s);
      for (let k = 0; k < places.length; k++) {
        const place = places[k];
        data[k].push(place < signals ? bench.sample[place] : bench.drive.watch[place - signals]);
      }
    };
    for (; tick < last && bench.plant.fault === ''; tick++) {
      past.before();
      bench.tickInSteps(onStep);
    }
  });
  return { from_s, to_s, at_s: Float32Array.from(at), data: data.map((each) => Float32Array.from(each)) };
}
