/**
 * The points of a campaign. Point k is the same whoever asks, however many points are run elsewhere: it follows from the
 * campaign alone.
 *
 * Latin hypercube after McKay, Beckman and Conover, Technometrics 21 (1979), from memory: each value has every one of n
 * equal slices once, in an order that is shuffled for each value on its own.
 */
import type { Campaign, Varied } from './campaign.ts';
import { mix } from './correlate.ts';
import { normalQuantile, normalShare } from './normal.ts';
import type { Value, Values } from './results.ts';
import { stepsOf, valueAt } from './spread.ts';
import { shuffled, streamFor } from './streams.ts';

/** Gives the values of point k, from 1. */
export type Points = (point: number) => Values;

type Drawn = Pick<Campaign, 'draw' | 'points' | 'vary' | 'seed' | 'triangle'>;

export function pointsOf(campaign: Drawn): Points {
  if (campaign.draw === 'grid') return gridOf(campaign.vary);
  const shares = campaign.draw === 'hypercube' ? hypercube(campaign) : random(campaign);
  return (point) => named(campaign.vary, (varied, k) => valueAt(varied, shares[k][point - 1]));
}

/** How many points a grid has; without anything that varies there is one. */
export function gridSize(vary: readonly Varied[]): number {
  return vary.reduce((product, varied) => product * stepsOf(varied).length, 1);
}

/** The last value runs fastest, as one reads a table. */
function gridOf(vary: readonly Varied[]): Points {
  const lists = vary.map(stepsOf);
  return (point) => {
    let rest = point - 1;
    const picked: Value[] = [];
    for (let k = lists.length - 1; k >= 0; k--) {
      picked[k] = lists[k][rest % lists[k].length];
      rest = Math.floor(rest / lists[k].length);
    }
    return named(vary, (_, k) => picked[k]);
  };
}

function random({ vary, points, seed, triangle }: Drawn): readonly Float64Array[] {
  const shares = vary.map(({ place }) => {
    const stream = streamFor(seed, `draw ${place}`);
    return Float64Array.from({ length: points }, () => stream.share());
  });
  if (!triangle) return shares;
  for (let point = 0; point < points; point++) {
    const mixed = mix(
      triangle,
      shares.map((each) => normalQuantile(each[point])),
    );
    mixed.forEach((value, k) => {
      shares[k][point] = normalShare(value);
    });
  }
  return shares;
}

function hypercube({ vary, points, seed }: Drawn): readonly Float64Array[] {
  return vary.map(({ place }) => {
    const order = shuffled(points, streamFor(seed, `slice ${place}`));
    const stream = streamFor(seed, `within ${place}`);
    return Float64Array.from(order, (slice) => (slice + stream.share()) / points);
  });
}

function named(vary: readonly Varied[], value: (varied: Varied, k: number) => Value): Values {
  return Object.fromEntries(vary.map((varied, k) => [varied.place, value(varied, k)]));
}
