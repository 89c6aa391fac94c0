/** Every scenario of the repository, played as the command line does it with the built-in controller. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { Bench } from '../../src/runner/bench.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { play } from '../../src/runner/play.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { expectNear } from '../support/near.ts';

const files = readdirSync('scenarios').filter((name) => name.endsWith('.yaml'));

describe('scenarios', () => {
  it.each(files)('%s passes every check with the built-in controller and balances its energy', async (name) => {
    const loaded = loadScenario(readFileSync(join('scenarios', name), 'utf8'), name);
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    const { drill, seed, step_s, controller } = loaded.scenario;
    const options = { drill: PRESETS[drill], board: boardFor(PRESETS[drill]), seed, h_s: step_s };
    const outcome = await play(
      loaded.scenario,
      new Bench({ ...options, controller: builtInFor(controller, options.drill, options.board) }),
    );
    const missed = outcome.checks.filter(({ verdict }) => verdict !== 'pass');
    expect(missed).toEqual([]);
    expect(outcome.verdict).toBe('passed');
    expectNear(outcome.energyResidual, 0, { abs: 1e-6, because: 'the bound that makes a run valid' });
  });
});
