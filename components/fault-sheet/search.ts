/** Finds faults of the catalogue by what a person types: parts of a name, an id, a part of the drill, a need. */
import type { FaultRow } from '../../worker/api.ts';

const NEED = /^u\d+$/;

/** Whether every word of a query is in the fault. A need, U13, is meant as a whole. */
function matches(row: FaultRow, words: readonly string[]): boolean {
  const text = `${row.name} ${row.id} ${row.place} ${row.placeText}`.toLowerCase();
  return words.every((word) =>
    NEED.test(word) ? row.needs.some((need) => need.toLowerCase() === word) : text.includes(word),
  );
}

/** Faults that fit, in the order of the catalogue. */
export function findFaults(rows: readonly FaultRow[], query: string): FaultRow[] {
  const words = query.toLowerCase().split(/\s+/).filter(Boolean);
  return rows.filter((row) => matches(row, words));
}

/** In groups by their part, in the order of the catalogue. */
export function byPart(rows: readonly FaultRow[]): readonly (readonly [text: string, rows: FaultRow[]])[] {
  const groups = new Map<string, FaultRow[]>();
  for (const row of rows) groups.set(row.placeText, [...(groups.get(row.placeText) ?? []), row]);
  return [...groups];
}
