/**
 * 500 spoiled scenario files, from those of this repository and two that use every key: each one is refused with file, line
 * and place, or it loads and plays. They are read in processes of their own, which are ended when a text hangs.
 */
import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Problem } from '../../src/scenario/source.ts';
import { MUTATIONS } from './mutate.ts';

const COUNT = 500;
const BATCH = 125;
/** Time for one batch: what hangs ends here. */
const BATCH_MS = 400_000;
/** Time to read one text of at most 256 KB, on a machine that does other things too; 1 s is usual for the worst. */
const LOAD_MS = 10_000;

interface Told {
  readonly seed: number;
  readonly file: string;
  readonly how: readonly string[];
  readonly lines: number;
  readonly load_ms?: number;
  readonly thrown?: string;
  readonly problems?: readonly Problem[];
  readonly played?: {
    readonly verdict: string;
    readonly why: string;
    readonly ticks: number;
    readonly due: number;
    readonly checks: number;
    readonly asked: number;
    readonly stateHash: string;
  };
}

async function batch(first: number): Promise<Told[]> {
  const args = ['--import', 'tsx', 'tests/scenario/mutation-main.ts', String(BATCH), String(first)];
  const options = { timeout: BATCH_MS, killSignal: 'SIGKILL', maxBuffer: 2 ** 28 } as const;
  const { stdout } = await promisify(execFile)(process.execPath, args, options);
  return stdout
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as Told);
}

const named = ({ seed, file, how }: Told): string => `seed ${seed}, ${file}, ${how.join(' + ')}`;

describe('500 spoiled scenarios', () => {
  let told: Told[] = [];

  beforeAll(async () => {
    for (let first = 1; first <= COUNT; first += BATCH) told = told.concat(await batch(first));
  }, COUNT * 4000);

  it('were all read, by every way of spoiling, none of them for long', () => {
    expect(told).toHaveLength(COUNT);
    expect(new Set(told.flatMap(({ how }) => how))).toEqual(new Set(Object.keys(MUTATIONS)));
    expect(told.filter(({ load_ms }) => !(load_ms !== undefined && load_ms < LOAD_MS)).map(named)).toEqual([]);
  });

  it('throw nothing', () => {
    expect(told.flatMap((each) => (each.thrown === undefined ? [] : [`${named(each)}: ${each.thrown}`]))).toEqual([]);
  });

  it('play to the end with all their checks, or do not begin', () => {
    const played = told.filter((each) => each.played !== undefined);
    expect(played.length).toBeGreaterThan(COUNT / 50);
    for (const each of played) {
      const { ticks, due, verdict, why, checks, asked, stateHash } = each.played!;
      expect(['passed', 'failed'], `${named(each)}: ${why}`).toContain(verdict);
      expect(ticks, named(each)).toBe(due);
      expect(checks, named(each)).toBeGreaterThanOrEqual(asked);
      expect(stateHash).toMatch(/^[0-9a-f]{16}$/);
    }
  });

  it('are refused with a line that is there, a place or a key, and words that do not harm a terminal', () => {
    const refused = told.filter((each) => each.problems !== undefined);
    expect(refused.length).toBeGreaterThan(COUNT / 2);
    for (const each of refused) {
      expect(each.problems!.length, named(each)).toBeGreaterThan(0);
      for (const { file, line, text } of each.problems!) {
        const what = `${named(each)}: ${file}:${line}: ${text}`;
        expect(Number.isInteger(line) && line >= 1, what).toBe(true);
        if (file === 'own.yaml') expect(line, what).toBeLessThanOrEqual(each.lines);
        expect(text, what).toMatch(PLACE_OR_KEY);
        expect(text, what).not.toMatch(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]|undefined|\[object|NaN/u);
        expect(text.length, what).toBeLessThanOrEqual(2000);
      }
    }
  });
});

/** A key or an entry by name, or the YAML of the line itself. */
const PLACE_OR_KEY =
  /^(key |[a-z][a-z ]*( \d+)?(, [A-Za-z0-9_.' -]+)*: |not readable as YAML: |this key stands|a key is plain|nested deeper|more than \d+ aliases|the (text|file) |and \d+ or more further|.* does not fit; allowed is a group of keys$)/u;
