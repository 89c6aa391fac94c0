/** Margins against those of a stored build: for each check more room, less, the same, or nothing to compare with. */
import type { CheckTold, RunTold } from './model.ts';
import { pointText, withUnit } from './words.ts';

export interface Baseline {
  /** File that it was read from. */ readonly file: string;
  readonly runs: readonly RunTold[];
}

export type Move = 'more' | 'less' | 'same' | 'now fails' | 'now passes' | 'new' | 'unknown';

export interface Trend {
  readonly move: Move;
  /** In words; the arrow is drawn beside them. */ readonly text: string;
  /** Margin of the baseline; null where there is none. */ readonly was: number | null;
}

/** Differences below this share of the margins are rounding: runs of one build are equal to the last bit. */
const ROUNDING = 1e-9;

/** Finds checks of the baseline by scenario, point, seed and name; twins by their order. */
export class Trends {
  readonly baseline: Baseline;
  private readonly known: Map<string, CheckTold>;
  private readonly told = new Map<CheckTold, Trend>();
  /** Checks of the baseline that no run has any more. */ readonly gone: readonly string[];

  constructor(baseline: Baseline, runs: readonly RunTold[]) {
    this.baseline = baseline;
    this.known = new Map(keyed(baseline.runs).map(({ key, check }) => [key, check]));
    const now = keyed(runs);
    for (const { key, check } of now) this.told.set(check, trendOf(check, this.known.get(key)));
    const keys = new Set(now.map(({ key }) => key));
    this.gone = [...this.known.keys()].filter((key) => !keys.has(key)).map((key) => key.split('\n').join(', '));
  }

  of(check: CheckTold): Trend {
    return this.told.get(check) ?? { move: 'new', text: 'new check', was: null };
  }

  count(move: Move): number {
    return [...this.told.values()].filter((each) => each.move === move).length;
  }
}

function keyed(runs: readonly RunTold[]): { key: string; check: CheckTold }[] {
  const seen = new Map<string, number>();
  return runs.flatMap((run) =>
    run.checks.map((check) => {
      const plain = [run.title, pointText(run), check.name].filter((part) => part !== '').join('\n');
      const times = (seen.get(plain) ?? 0) + 1;
      seen.set(plain, times);
      return { key: times === 1 ? plain : `${plain}\n${times}`, check };
    }),
  );
}

/** One check against the same one of the baseline. */
export function trendOf(now: CheckTold, before: CheckTold | undefined): Trend {
  if (before === undefined) return { move: 'new', text: 'new check', was: null };
  const was = before.unit === now.unit ? before.margin : null;
  if (now.verdict === 'fail' && before.verdict === 'pass') return { move: 'now fails', text: 'now fails', was };
  if (now.verdict === 'pass' && before.verdict === 'fail') return { move: 'now passes', text: 'now passes', was };
  if (now.margin === null || was === null) return { move: 'unknown', text: 'not comparable', was };
  const change = now.margin - was;
  const rounding = ROUNDING * Math.max(Math.abs(now.margin), Math.abs(was));
  if (Math.abs(change) <= rounding) return { move: 'same', text: 'as before', was };
  const size = withUnit(Math.abs(change), now.unit);
  return change > 0
    ? { move: 'more', text: `${size} more room`, was }
    : { move: 'less', text: `${size} less room`, was };
}
