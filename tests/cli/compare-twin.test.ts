/** `sim compare` with a file that includes another one and asks for the fault-free twin: each side has its own twin, and the table names where they part. */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Row } from '../../src/cli/compare-rows.ts';
import { folder, json, scenarioFile, sim } from './sim.ts';

const tree = join(folder(), 'scenarios');
mkdirSync(join(tree, 'parts'), { recursive: true });
scenarioFile(
  join(tree, 'parts'),
  'press.yaml',
  `drill: bench-18
timeline:
  - { at: 5 ms, trigger: 40 %, over: 5 ms }
`,
);
/** A Hall sensor sticks: the one controller needs it, the other has none. */
const stuck = scenarioFile(
  tree,
  'stuck.yaml',
  `title: A Hall sensor sticks in a press
seed: 2
include: [parts/press.yaml]
duration: 80 ms
faults:
  - { fault: hall-low, leg: a, at: 10 ms }
checks:
  - { name: the fault costs no speed, signal: motorSpeed, take: mean, against: twin, from: 50 ms, at least: -20 rpm }
`,
);
const NAME = 'the fault costs no speed';

describe('sim compare with include and twin', () => {
  it('plays both sides with the twin of each, and names which one the fault costs what', async () => {
    const out = join(tree, 'out.json');
    const run = await sim('compare', 'builtin:hall-six-step', 'builtin:sensorless', stuck, '--json', out);
    expect(run.err).not.toContain('nothing was');
    expect(run.code).toBe(0);
    const { a, b, rows, drill } = json(out);
    // Of the included file.
    expect(drill).toBe('bench-18');
    const row = (id: string): Row => rows.find((each: Row) => each.id === id);
    // The sensorless side has no use for a Hall sensor: not a bit of speed apart from its twin.
    const margins = row(`margin:${NAME}`);
    expect(margins).toMatchObject({ unit: 'rpm', b: 20, better: 'B' });
    expect(margins.a).toBeLessThan(0);
    expect(margins.what).toBe(`${NAME} (A FAIL)`);
    expect(run.out).toMatch(/the fault costs no speed \(A FAIL\) .* B\n/);
    expect([a.twin.why, b.twin.why]).toEqual(['', '']);
    expect(row('stateHash').better).toBe('differ');
  });

  it('refuses a file that is included and not there, in words', async () => {
    const file = scenarioFile(tree, 'none.yaml', 'title: x\ninclude: [parts/none.yaml]\ndrill: bench-18\n');
    const run = await sim('compare', 'builtin:hall-six-step', 'builtin:sensorless', file);
    expect(run.code).toBe(2);
    expect(run.err).toMatch(/none\.yaml:2: .*parts\/none\.yaml.*cannot be read/);
  });
});
