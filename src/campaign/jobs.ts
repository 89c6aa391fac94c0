/** What a campaign has to do: one search for each of its points. */
import { breakSearch } from './break.ts';
import { pointsOf } from './draw.ts';
import type { Plan } from './load.ts';
import { once, type Search } from './search.ts';
import { worstSearch } from './worst.ts';

export interface Jobs {
  /** Number of points, or cases of a search. */ readonly count: number;
  /** True when a point is one run. */ readonly single: boolean;
  /** Begins point k, from 1, afresh. */ start(point: number): Search;
}

export function jobsOf({ campaign, scenario }: Plan): Jobs {
  const { points: count, break: breaking, worst } = campaign;
  if (worst) {
    const own = scenario.checks.map(({ name }) => name);
    return { count, single: false, start: (at) => worstSearch(worst, campaign, at, own) };
  }
  const values = pointsOf(campaign);
  if (breaking) return { count, single: false, start: (at) => breakSearch(breaking, at, values(at)) };
  return { count, single: true, start: (at) => once(values(at)) };
}
