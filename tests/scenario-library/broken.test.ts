/**
 * The library finds firmware that is broken: each of these controllers has one defect, and fails scenarios that the sound one
 * passes. That the sound one passes them stands in the coverage page, which tests/runner/scenarios.test.ts holds to runs.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { controllerNames } from '../../src/control/index.ts';
import { DEFECTS, SOUND } from '../support/broken-controllers.ts';
import { COVERAGE } from './coverage.ts';
import { playWith, scenarioOf } from './library.ts';

/** Seeded defects that the library has to find. */
const DEFECTS_LEAST = 10;

const page = readFileSync(COVERAGE, 'utf8').split('\n');

/** What the coverage page says of a file with a controller. */
function told(file: string, controller: string): string {
  const row = page.find((text) => text.startsWith(`| \`${file}\` |`)) ?? '';
  return row.split(' | ')[1 + controllerNames().indexOf(controller)] ?? '';
}

describe('broken controllers', () => {
  it('are ten at least, each with scenarios that find it', () => {
    expect(DEFECTS.length).toBeGreaterThanOrEqual(DEFECTS_LEAST);
    expect(new Set(DEFECTS.map(({ name }) => name)).size).toBe(DEFECTS.length);
    for (const { name, caughtBy } of DEFECTS) expect(caughtBy.length, name).toBeGreaterThan(0);
  });

  it.each(DEFECTS)('$name is found', { timeout: 120_000 }, async ({ of, spoil, caughtBy }) => {
    for (const file of caughtBy) {
      expect(told(file, of), `the sound ${of} on ${file}`).toMatch(/^passes/);
      const { verdict, checks } = await playWith(scenarioOf(file), of, spoil);
      expect(verdict, file).toBe('failed');
      expect(checks.some((check) => check.verdict === 'fail')).toBe(true);
    }
  });

  it('do not fail because of what stands between: a sound one behind it passes', { timeout: 120_000 }, async () => {
    for (const of of controllerNames()) {
      const { verdict } = await playWith(scenarioOf('start/rise-free.yaml'), of, SOUND);
      expect(verdict, of).toBe('passed');
    }
  });
});
