/**
 * Every scenario of the repository, played as the command line does it, with every built-in controller. What comes out is
 * what scenarios/COVERAGE.md tells; those that stand at the top of the folder pass with the controller that they name.
 *
 * The runs are done by processes of their own, one a core: in the module runner of the tests they take three times as long.
 */
import { execFile } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { promisify } from 'node:util';
import { beforeAll, describe, expect, it } from 'vitest';
import { controllerNames } from '../../src/control/index.ts';
import { COVERAGE, line, RENEW } from '../scenario-library/coverage.ts';
import { libraryFiles, type Played, scenarioOf } from '../scenario-library/library.ts';
import { expectNear } from '../support/near.ts';

const PARTS = 2;
/** Both parts on one busy core, with room. */
const LONGEST_MS = 900_000;
/** A line of a few kilobytes for each file, with room. */
const OUTPUT_MOST = 64 * 2 ** 20;
const run = promisify(execFile);

const told = readFileSync(COVERAGE, 'utf8').split('\n');
const played = new Map<string, Played>();

async function playPart(part: number): Promise<void> {
  const script = ['--import', 'tsx', 'tests/scenario-library/main.ts', '--part', `${part}/${PARTS}`];
  const { stdout } = await run(process.execPath, script, { maxBuffer: OUTPUT_MOST });
  for (const text of stdout.trim().split('\n')) {
    const each = JSON.parse(text) as Played;
    played.set(each.file, each);
  }
}

beforeAll(async () => {
  await Promise.all(Array.from({ length: PARTS }, (_, k) => playPart(k + 1)));
}, LONGEST_MS);

describe('scenarios', () => {
  it.each(libraryFiles())('%s does with each built-in controller what the coverage page tells', (file) => {
    const runs = played.get(file)?.runs ?? [];
    expect(runs.map(({ controller }) => controller)).toEqual(controllerNames());
    const named = scenarioOf(file).controller;
    for (const { controller, verdict, why, energyResidual } of runs) {
      expect(['passed', 'failed'], why).toContain(verdict);
      expectNear(energyResidual, 0, { abs: 1e-6, because: 'the bound that makes a run valid' });
      if (!file.includes('/') && controller === named) expect(verdict).toBe('passed');
    }
    const cells = runs.map(({ cell }) => cell);
    expect(
      told.find((text) => text.startsWith(`| \`${file}\` |`)),
      `renew it: ${RENEW}`,
    ).toBe(line(file, cells));
  });
});
