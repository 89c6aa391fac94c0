/** What a fault meets: one job in which the drill does all that it can do, with a fault that changes nothing in each part of it. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { Bench } from '../../src/runner/bench.ts';
import { benchOptions } from '../../src/runner/bench-options.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { play } from '../../src/runner/play.ts';
import { Situations } from '../../src/runner/situation.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';

const FILE = 'scenarios/campaigns/all-situations.yaml';
/** The moments of scenarios/campaigns/fault-by-situation.yaml, and what the hands of the job do there. */
const MOMENTS = [
  ['0.01 s', 'rest'],
  ['0.03 s', 'start'],
  ['0.1 s', 'slow'],
  ['0.24 s', 'fast'],
  ['0.36 s', 'reversal'],
  ['0.6 s', 'stall'],
  ['0.74 s', 'coast'],
] as const;

describe('what a fault meets', () => {
  it('is told of every beginning in a job that has all of it', async () => {
    const faults = MOMENTS.map(([at]) => `  - { fault: magnet-weak, size: 0 %, at: ${at}, for: 1 ms }`);
    const text = readFileSync(FILE, 'utf8').replace(/^ {2}- \{ fault: .*$/m, faults.join('\n'));
    const loaded = loadScenario(text, FILE);
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    const options = benchOptions(loaded.scenario);
    const controller = builtInFor('hall-six-step', options.drill, options.board);
    const outcome = await play(loaded.scenario, new Bench({ ...options, controller }));
    const begun = outcome.faults.filter(({ what }) => what === 'begins');
    expect(begun.map(({ met }) => met)).toEqual(MOMENTS.map(([, met]) => met));
    expect(outcome.faults.filter(({ what }) => what === 'ends').map(({ met }) => met)).toEqual(
      MOMENTS.map(() => undefined),
    );
  });

  const sample = new Float64Array(SIGNALS.length);
  const seen = (steps: readonly (readonly [number, number, number, number | undefined])[]) => {
    const situations = new Situations();
    return steps.map(([t_s, trigger, speed, direction]) => {
      sample[SIGNAL_INDEX.time] = t_s;
      sample[SIGNAL_INDEX.trigger] = trigger;
      sample[SIGNAL_INDEX.motorSpeed] = speed;
      return situations.see(sample, direction);
    });
  };

  it('is no reversal when a stop throws the rotor back, and a stall only after a time to start', () => {
    expect(
      seen([
        [0, 1, 0, 1],
        [0.05, 1, 0, 1],
        [0.11, 1, 0, 1],
        [0.12, 1, 300, 1],
        [0.13, 1, -300, 1],
        [0.14, 1, 0, 1],
      ]),
    ).toEqual(['start', 'start', 'stall', 'slow', 'slow', 'stall']);
  });

  it('is a reversal when the trigger is pressed while the rotor still coasts the other way', () => {
    expect(
      seen([
        [0, 0, 1500, 1],
        [0.1, 0, 1400, -1],
        [0.2, 0.5, 1300, -1],
        [0.3, 0.5, 0, -1],
        [0.35, 0.5, -300, -1],
      ]),
    ).toEqual(['coast', 'coast', 'reversal', 'start', 'slow']);
  });

  it('claims no reversal where nobody knows the direction', () => {
    expect(seen([[0, 1, -1500, undefined]])).toEqual(['fast']);
  });
});
