/**
 * The size at which a check flips, by bisection between a size that holds and one that does not.
 *
 * Bisection finds one flip and assumes that there is only one: what holds at a size holds at every smaller one. Sizes on
 * both sides of the bracket are tried afterwards; one that contradicts is told, and then the bracket is one flip of several.
 */
import type { BreakSpec } from './campaign.ts';
import type { BreakOutcome, PointResult, Values } from './results.ts';
import { holding, type Search } from './search.ts';
import { kept, writeValue } from './written.ts';

/** Most times that the search goes on before a bracket that it had found. */
const ROUNDS_MOST = 5;

/** @param at case, from 1  @param values in which this case differs from others */
export function* breakSearch(spec: BreakSpec, at: number, values: Values): Search {
  const { place, unit, from, to, tolerance, check, probes } = spec;
  const seen = new Map<number, boolean>();
  let why = '';
  let runs = 0;
  const point = (size: number): Values => ({ ...values, [place]: writeValue(size, unit) });
  const learn = (sizes: readonly number[], results: readonly PointResult[]) => {
    runs += results.length;
    results.forEach((result, k) => {
      const seenNow = holding(result, check);
      if ('holds' in seenNow) seen.set(sizes[k], seenNow.holds);
      else if (why === '') why = `at ${place} ${point(sizes[k])[place]} ${seenNow.why}`;
    });
  };
  const ended = (found: BreakOutcome['found'], holds: number | null, fails: number | null, odd: readonly number[]) =>
    outcome(spec, { case: at, values, found, why, holds, fails, runs, contradicting: odd });

  const ends = [from, to];
  learn(ends, yield ends.map(point));
  if (why !== '') return ended('undecided', null, null, []);
  if (!seen.get(from)) return ended('fails from the start', null, from, []);
  let holds = from;
  let fails = to;
  if (seen.get(to)) {
    const inside = between(from, to, probes);
    if (inside.length > 0) learn(inside, yield inside.map(point));
    if (why !== '') return ended('undecided', null, null, []);
    const first = inside.findIndex((size) => !seen.get(size));
    if (first < 0) return ended('holds all over', to, null, []);
    holds = first === 0 ? from : inside[first - 1];
    fails = inside[first];
  }
  const distance = (number: number) => Math.abs(number - from);
  for (let round = 0; round < ROUNDS_MOST; round++) {
    while (Math.abs(fails - holds) > tolerance) {
      const middle = kept((holds + fails) / 2);
      if (middle === holds || middle === fails) break;
      learn([middle], yield [point(middle)]);
      if (why !== '') return ended('undecided', holds, fails, []);
      if (seen.get(middle)) holds = middle;
      else fails = middle;
    }
    const beside = [...between(from, holds, probes), ...between(fails, to, probes)].filter(
      (number) => !seen.has(number),
    );
    if (beside.length > 0) learn(beside, yield beside.map(point));
    if (why !== '') return ended('undecided', holds, fails, []);
    // A size before the bracket that does not hold: the first flip lies there.
    const inOrder = [...seen].sort(([a], [b]) => distance(a) - distance(b));
    const first = inOrder.findIndex(([, held]) => !held);
    if (inOrder[first][0] === fails) break;
    fails = inOrder[first][0];
    holds = inOrder[first - 1][0];
  }
  const odd = [...seen]
    .filter(([number, held]) => held && distance(number) > distance(fails))
    .map(([number]) => number);
  return ended(
    'bracket',
    holds,
    fails,
    odd.sort((a, b) => a - b),
  );
}

/** Sizes between two others, evenly, without these. */
function between(low: number, high: number, count: number): number[] {
  if (low === high) return [];
  return Array.from({ length: count }, (_, k) => kept(low + ((k + 1) * (high - low)) / (count + 1)));
}

type Found = Pick<BreakOutcome, 'case' | 'values' | 'found' | 'why' | 'holds' | 'fails' | 'runs' | 'contradicting'>;

function outcome(spec: BreakSpec, found: Found): BreakOutcome {
  const { place, unit, from, to, tolerance, check, probes, asked } = spec;
  const way = Math.sign(to - from);
  const { holds, contradicting } = found;
  const known = found.found !== 'undecided';
  const bears = found.found === 'fails from the start' ? from : (holds ?? Number.NaN);
  const room = asked === null || !known ? null : kept((bears - asked) * way);
  const passes = found.found !== 'fails from the start' && (room === null || room >= 0);
  return {
    kind: 'break',
    ...found,
    place,
    check,
    unit,
    tolerance,
    monotone: !known || probes === 0 || found.found === 'fails from the start' ? null : contradicting.length === 0,
    asked,
    verdict: known ? (passes ? 'pass' : 'fail') : 'not evaluated',
    margin: room,
    again: '',
  };
}
