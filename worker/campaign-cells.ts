/** Results of a campaign in rows and columns: by the fault and what it met, or by any two values that vary. */
import { type CaseOutcome, type PointResult, runName, type Values } from '../src/campaign/results.ts';
import { gravest, letterOf } from '../src/report/verdict.ts';
import { SITUATIONS } from '../src/runner/situation.ts';
import type { CheckResult } from '../src/scenario/check.ts';
import type { CampaignCells, Cell, PointRow } from './runs-api.ts';

/** 'fault', 'situation', or the place of a value in the scenario. */
export type Axis = string;
export const FAULT: Axis = 'fault';
export const SITUATION: Axis = 'situation';
export const NO_FAULT = 'no fault';
export const NEVER = 'never began';

/** What can be told apart: faults where there are any, then every value that differs between runs. */
export function axesOf(results: readonly PointResult[]): Axis[] {
  const faults = results.some((each) => each.faults.length > 0) ? [FAULT, SITUATION] : [];
  const places = [...new Set(results.flatMap(({ values }) => Object.keys(values)))];
  const differ = places.filter((place) => new Set(results.map(({ values }) => values[place])).size > 1);
  // A search raises one size: what else is ordered stands at nothing, and tells nothing apart.
  return results.some(({ run }) => run > 0) ? [...differ, ...faults] : [...faults, ...differ];
}

/** Rows and columns in the order in which they first come up; situations and numbers in theirs. */
export function cellsOf(
  results: readonly PointResult[],
  wantedRow?: Axis,
  wantedColumn?: Axis,
  cases: readonly CaseOutcome[] = [],
): CampaignCells {
  const axes = axesOf(results);
  const row = wantedRow !== undefined && axes.includes(wantedRow) ? wantedRow : (axes[0] ?? FAULT);
  const column = wantedColumn !== undefined && axes.includes(wantedColumn) ? wantedColumn : (axes[1] ?? SITUATION);
  const found = new Map<string, { row: string; column: string; runs: PointResult[] }>();
  for (const result of results) {
    for (const [ofRow, ofColumn] of placesOf(result, row, column)) {
      const key = `${ofRow}\n${ofColumn}`;
      const cell = found.get(key) ?? { row: ofRow, column: ofColumn, runs: [] };
      if (!found.has(key)) found.set(key, cell);
      if (!cell.runs.includes(result)) cell.runs.push(result);
    }
  }
  const cells = [...found.values()].map(finished);
  return {
    axes,
    row,
    column,
    rows: inOrder([...new Set(cells.map((each) => each.row))]),
    columns: inOrder([...new Set(cells.map((each) => each.column))]),
    cells,
    cases,
  };
}

function finished({ row, column, runs }: { row: string; column: string; runs: readonly PointResult[] }): Cell {
  const letter = gravest(runs.map(({ verdict }) => letterOf(verdict)));
  return { row, column, runs: runs.map(rowOf), letter, worst: worstOf(runs.flatMap(({ checks }) => checks)) };
}

function rowOf(result: PointResult): PointRow {
  const { values, verdict, why, checks } = result;
  return { name: runName(result), values, verdict, why, worst: worstOf(checks), failedAt_s: failedAt(result) };
}

/** What every run has to hold, without room: it counts here when it does not hold. */
const ALWAYS: readonly string[] = ['energyResidual', 'lostTime', 'late'];

/** Rooms of checks in different units are compared as shares of their limits. */
export function worstOf(checks: readonly CheckResult[]): CheckResult | undefined {
  const room = ({ margin, limit }: CheckResult) =>
    (margin ?? Number.POSITIVE_INFINITY) / (limit === null || limit === 0 ? 1 : Math.abs(limit));
  const judged = checks.filter(
    ({ margin, verdict, signal }) =>
      margin !== null && (verdict === 'fail' || (verdict === 'pass' && !ALWAYS.includes(signal))),
  );
  return judged.reduce<CheckResult | undefined>(
    (worst, each) => (worst && room(worst) <= room(each) ? worst : each),
    undefined,
  );
}

/** A run stands in one cell, or with several faults in one for each of them. */
function placesOf({ faults, values }: PointResult, row: Axis, column: Axis): [string, string][] {
  const begun = faults.filter(({ what }) => what === 'begins');
  const told = begun.length > 0 ? begun : [undefined];
  return told.map((event) => {
    const of = (axis: Axis): string => {
      if (axis === FAULT) return event?.fault ?? NO_FAULT;
      if (axis === SITUATION) return event ? (event.met ? SITUATIONS[event.met] : '') : NEVER;
      return valueText(values, axis);
    };
    return [of(row), of(column)];
  });
}

export const valueText = (values: Values, place: string): string => String(values[place] ?? '');

/** Situations, and numbers with their unit, have an order of their own. */
function inOrder(names: readonly string[]): string[] {
  const situations: readonly string[] = Object.values(SITUATIONS);
  const rank = (name: string): number => {
    const place = situations.indexOf(name);
    return place >= 0 ? place : Number.parseFloat(name);
  };
  const ranks = names.map(rank);
  if (ranks.some(Number.isNaN)) return [...names];
  return [...names].sort((a, b) => rank(a) - rank(b));
}

/** Moment at which a run failed first [s]; that of its end when nothing says when. */
export function failedAt({ checks, virtual_s }: Pick<PointResult, 'checks' | 'virtual_s'>): number {
  const moments = checks.filter(({ verdict }) => verdict === 'fail').map(({ at_s }) => at_s ?? virtual_s);
  return moments.length > 0 ? Math.min(...moments) : virtual_s;
}
