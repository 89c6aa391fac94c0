/** Files stay small enough to be read in one sitting, and nothing is left half done. */
import { describe, expect, it } from 'vitest';
import { read, sources } from './source.ts';

const MOST_LINES = 400;
/**
 * One function on purpose: taken apart, its numbers go through memory at every call, and a step takes twice as long
 * (DEVELOPERS.md, decisions). Its own limit keeps it from growing.
 */
const ONE_FUNCTION: Readonly<Record<string, number>> = { 'src/plant/kernel.ts': 620 };
/** Files that a program writes; their length is not a matter of style. */
const GENERATED: string[] = [];
const FILES = sources('src', 'worker', 'components', 'tests').filter((path) => !GENERATED.includes(path));
const lineCount = (path: string): number => read(path).split('\n').length - 1;

// Put together from pieces, so that this file does not find itself.
const UNFINISHED = new RegExp(`\\b(${['TO' + 'DO', 'FIX' + 'ME', 'X' + 'XX'].join('|')})\\b`);
const SKIPPED = new RegExp(
  `\\b(it|test|describe)\\.(${['sk' + 'ip', 'on' + 'ly', 'to' + 'do', 'fa' + 'ils'].join('|')})\\b`,
);

describe('files', () => {
  it(`have at most ${MOST_LINES} lines`, () => {
    const long = FILES.filter((path) => lineCount(path) > (ONE_FUNCTION[path] ?? MOST_LINES)).map(
      (path) => `${path}: ${lineCount(path)}`,
    );
    expect(long).toEqual([]);
  });

  it('are about 120 lines long in the middle of the list', () => {
    const counts = FILES.map(lineCount).sort((a, b) => a - b);
    const median = counts[Math.floor(counts.length / 2)];
    console.log(`${counts.length} files, median ${median} lines, longest ${counts[counts.length - 1]}`);
    expect(median).toBeLessThanOrEqual(150);
  });

  it('carry no mark of unfinished work', () => {
    expect(FILES.filter((path) => UNFINISHED.test(read(path)))).toEqual([]);
  });

  it('hold no test that is left out or runs alone', () => {
    expect(FILES.filter((path) => SKIPPED.test(read(path)))).toEqual([]);
  });
});
