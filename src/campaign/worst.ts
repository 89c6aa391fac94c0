/**
 * The values with the least room: a direct search within bounds. It begins with the best of a small latin hypercube, then
 * looks along each range on both sides of the best point; when none is better it halves its step.
 *
 * Scheme: compass search, as in Kolda, Lewis and Torczon, Optimization by direct search, SIAM Review 45 (2003), from memory.
 * It finds a place that is worse than all around it, not for sure the worst of all; several starts look in several places.
 */
import type { Campaign, Varied, WorstSpec } from './campaign.ts';
import type { PointResult, Values, WorstOutcome } from './results.ts';
import { leastRoom, type Room, type Search } from './search.ts';
import { valueAt } from './spread.ts';
import { shuffled, streamFor } from './streams.ts';

/** First step, as a share of each range. */
const FIRST_STEP = 0.25;
/** Least number of points that the search begins with. */
const FIRST_LEAST = 4;

type Place = readonly number[];

/** @param at number of the start, from 1  @param own names of the checks of the scenario */
export function* worstSearch(
  spec: WorstSpec,
  campaign: Pick<Campaign, 'vary' | 'seed'>,
  at: number,
  own: readonly string[],
): Search {
  const { vary } = campaign;
  const asked = new Map<string, Place>();
  let best: { place: Place; values: Values; run: number; score: number; room: Room | undefined } | undefined;
  let runs = 0;
  let open = '';

  const news = (places: readonly Place[]): Place[] =>
    places.filter((place) => {
      const key = JSON.stringify(valuesAt(vary, place));
      if (asked.has(key) || asked.size >= spec.runs) return false;
      asked.set(key, place);
      return true;
    });
  /** True when one of the results is worse than all before. */
  const learn = (places: readonly Place[], results: readonly PointResult[]): boolean => {
    let better = false;
    results.forEach((result, k) => {
      runs++;
      const room = leastRoom(result, spec.check, own);
      const score =
        result.verdict === 'controller lost' ? Number.NEGATIVE_INFINITY : (room?.room ?? Number.POSITIVE_INFINITY);
      if (score === Number.POSITIVE_INFINITY || result.verdict === 'invalid') {
        open ||= result.why || 'no check with a margin was evaluated';
        return;
      }
      if (best && score >= best.score) return;
      best = { place: places[k], values: result.values, run: runs, score, room };
      better = true;
    });
    return better;
  };

  const first = news(
    beginning(vary.length, Math.min(spec.runs, Math.max(FIRST_LEAST, 2 * vary.length)), campaign.seed, at),
  );
  learn(first, yield first.map((place) => valuesAt(vary, place)));
  let step = FIRST_STEP;
  let ended = '';
  while (ended === '') {
    if (!best) ended = `no run could be judged: ${open}`;
    else if (best.score === Number.NEGATIVE_INFINITY) ended = 'the controller was lost';
    else if (asked.size >= spec.runs) ended = `${spec.runs} runs are all that were allowed`;
    else if (step < spec.finest && !listsLeft(vary, best.place, asked)) ended = 'no step that is left makes it worse';
    else {
      const places = news(around(vary, best.place, step));
      const better = places.length > 0 && learn(places, yield places.map((place) => valuesAt(vary, place)));
      if (!better) step /= 2;
    }
  }
  return outcome(at, best, runs, ended);
}

type Best = { values: Values; run: number; room: Room | undefined; score: number } | undefined;

function outcome(at: number, best: Best, runs: number, ended: string): WorstOutcome {
  const lost = best?.score === Number.NEGATIVE_INFINITY;
  return {
    kind: 'worst',
    case: at,
    values: best?.values ?? {},
    name: best ? `${at}.${best.run}` : '',
    check: best?.room?.check ?? '',
    unit: best?.room?.unit ?? '',
    margin: best?.room?.margin ?? null,
    room: best?.room?.room ?? null,
    runs,
    ended,
    verdict: !best ? 'not evaluated' : lost || best.score < 0 ? 'fail' : 'pass',
    again: '',
  };
}

function valuesAt(vary: readonly Varied[], place: Place): Values {
  return Object.fromEntries(vary.map((varied, k) => [varied.place, valueAt(varied, place[k])]));
}

/** A latin hypercube of its own for each start. */
function beginning(dimensions: number, count: number, seed: number, at: number): Place[] {
  const columns = Array.from({ length: dimensions }, (_, k) => {
    const stream = streamFor(seed, `worst ${at} ${k}`);
    return Array.from(shuffled(count, stream), (slice) => (slice + stream.share()) / count);
  });
  return Array.from({ length: count }, (_, row) => columns.map((column) => column[row]));
}

/** A step to both sides along each range; one item to both sides in a list. */
function around(vary: readonly Varied[], from: Place, step: number): Place[] {
  return vary.flatMap(({ spread }, k) =>
    [-1, 1].map((side) => {
      const wide = spread.kind === 'listed' ? Math.max(step, 1 / spread.values.length) : step;
      return from.map((share, j) => (j === k ? Math.min(1, Math.max(0, share + side * wide)) : share));
    }),
  );
}

/** True while a neighbor in a list has not been tried: its step does not shrink. */
function listsLeft(vary: readonly Varied[], from: Place, asked: ReadonlyMap<string, Place>): boolean {
  const lists = vary.map(({ spread }) => spread.kind === 'listed');
  return around(vary, from, 0).some((place, k) => lists[k >> 1] && !asked.has(JSON.stringify(valuesAt(vary, place))));
}
