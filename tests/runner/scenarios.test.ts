/**
 * Every scenario of the repository, played as the command line does it, with every built-in controller. What comes out is
 * what scenarios/COVERAGE.md tells; those that stand at the top of the folder pass with the controller that they name.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { controllerNames } from '../../src/control/index.ts';
import { COVERAGE, cell, line, RENEW } from '../scenario-library/coverage.ts';
import { libraryFiles, playWith, scenarioOf } from '../scenario-library/library.ts';
import { expectNear } from '../support/near.ts';

const told = readFileSync(COVERAGE, 'utf8').split('\n');

describe('scenarios', () => {
  it.each(libraryFiles())(
    '%s does with each built-in controller what the coverage page tells',
    { timeout: 120_000 },
    async (file) => {
      const scenario = scenarioOf(file);
      const cells: string[] = [];
      for (const name of controllerNames()) {
        const outcome = await playWith(scenario, name);
        cells.push(cell(outcome));
        expect(['passed', 'failed'], outcome.why).toContain(outcome.verdict);
        expectNear(outcome.energyResidual, 0, { abs: 1e-6, because: 'the bound that makes a run valid' });
        if (!file.includes('/') && name === scenario.controller) expect(outcome.verdict).toBe('passed');
      }
      const row = told.find((text) => text.startsWith(`| \`${file}\` |`));
      expect(row, `renew it: ${RENEW}`).toBe(line(file, cells));
    },
  );
});
