/**
 * Loads spoiled scenarios and plays the first milliseconds of those that load; one line of JSON each. A process of its own:
 * whoever starts it can end it when a text hangs.
 *
 *   tsx tests/scenario/mutation-main.ts COUNT FIRST_SEED
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Bench } from '../../src/runner/bench.ts';
import { benchOptions } from '../../src/runner/bench-options.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { play } from '../../src/runner/play.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { spoiled } from './mutate.ts';

const PLAYED_S = 0.005;
const TREES = ['scenarios', 'tests/scenario/samples'];

const files = TREES.flatMap((tree) =>
  readdirSync(tree, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.yaml') && !name.startsWith('campaigns/'))
    .map((name) => join(tree, name)),
).sort();

const including = (at: string, text: string) => ({
  at,
  read: (place: string) => {
    if (place === at) return { text, file: at };
    return { text: readFileSync(join(TREES[1], place), 'utf8'), file: place };
  },
});

async function playShortly(scenario: Scenario): Promise<object> {
  const short = { ...scenario, duration_s: Math.min(scenario.duration_s, PLAYED_S) };
  const options = benchOptions(short);
  const bench = new Bench({ ...options, controller: builtInFor(short.controller, options.drill, options.board) });
  const { verdict, why, counters, checks, stateHash } = await play(short, bench);
  const due = Math.round(short.duration_s / bench.plant.period_s);
  const judged = checks.filter((check) => check.verdict !== 'not evaluated').length;
  return {
    verdict,
    why,
    ticks: counters.ticks,
    due,
    checks: checks.length,
    judged,
    asked: scenario.checks.length,
    stateHash,
  };
}

const [count, first] = process.argv.slice(2).map(Number);
for (let k = 0; k < count; k++) {
  const seed = first + k;
  const file = files[(seed * 7) % files.length];
  const { text, how } = spoiled(readFileSync(file, 'utf8'), seed);
  const began_ms = performance.now();
  const told: Record<string, unknown> = { seed, file, how, lines: text.split(/\r\n|\r|\n/).length };
  try {
    const result = loadScenario(text, 'own.yaml', including('own.yaml', text));
    told.load_ms = performance.now() - began_ms;
    if (result.ok) told.played = await playShortly(result.scenario);
    else told.problems = result.problems;
  } catch (error) {
    told.thrown = String((error as Error).stack ?? error);
  }
  told.all_ms = performance.now() - began_ms;
  process.stdout.write(`${JSON.stringify(told)}\n`);
}
