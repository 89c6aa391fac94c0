/** The list of pitfalls is complete, and every test that it names is there. */
import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const at = (path: string) => new URL(`../../${path}`, import.meta.url);
const rows = readFileSync(at('src/links/PITFALLS.md'), 'utf8')
  .split('\n')
  .filter((line) => /^\| P\d+ /.test(line))
  .map((line) => line.split('|').map((cell) => cell.trim()));

describe('pitfalls of links', () => {
  it('are all there, each once', () => {
    const wanted = [...Array.from({ length: 26 }, (_, k) => k + 1), 42, 43, 44, 45, 50];
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
