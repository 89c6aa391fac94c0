import { expect } from 'vitest';
import { limitOf, type Row, short, verdictOf } from './rows.ts';

/** Expects every row that has a limit to keep it, and that there is one at all. */
export function expectHolds(rows: readonly Row[]): void {
  const limited = rows.filter((row) => verdictOf(row) !== 'stated');
  expect(limited.length).toBeGreaterThan(0);
  for (const row of limited) {
    const text = `${row.name} is ${short(row.value)} ${row.unit}; allowed is ${limitOf(row)} (${row.how})`;
    expect(verdictOf(row), text).toBe('holds');
  }
}

/** Value of the row whose name ends with a text. Throws when there is none. */
export function valueIn(rows: readonly Row[], end: string): number {
  const row = rows.find(({ name }) => name.endsWith(end));
  if (!row) throw new Error(`no row ends with '${end}'; there are: ${rows.map(({ name }) => name).join('; ')}`);
  return row.value;
}
