/** Each list of pitfalls is complete, and every test that it names is there. */
import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const at = (path: string) => new URL(`../../${path}`, import.meta.url);
const from = (first: number, last: number) => Array.from({ length: last - first + 1 }, (_, k) => first + k);

/** Numbers that a page has to have, in their order. */
const PAGES: Readonly<Record<string, readonly number[]>> = {
  'src/links/PITFALLS.md': [...from(1, 26), ...from(42, 45), 50],
  'components/PITFALLS.md': [...from(27, 41), ...from(52, 54), 58],
};

describe.each(Object.entries(PAGES))('%s', (page, wanted) => {
  const rows = readFileSync(at(page), 'utf8')
    .split('\n')
    .filter((line) => /^\| P\d+ /.test(line))
    .map((line) => line.split('|').map((cell) => cell.trim()));

  it('has each of its rows once', () => {
    expect(rows.map(([, no]) => no)).toEqual(wanted.map((n) => `P${n}`));
  });

  it.each(rows)('%s%s is held by a test that exists, or says why not', (_, _no, wrong, done, shown) => {
    expect(wrong.length).toBeGreaterThan(10);
    expect(done.length).toBeGreaterThan(10);
    const tests = [...shown.matchAll(/tests\/[\w./-]+\.test\.ts/g)].map(([path]) => path);
    expect(tests.length > 0 || shown.includes('reason: ')).toBe(true);
    for (const path of tests) expect(existsSync(at(path)), path).toBe(true);
  });
});
