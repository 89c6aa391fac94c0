/** A run with faults beside its fault-free twin: what the twin is, and what checks make of the two. */
import { describe, expect, it } from 'vitest';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { Bench } from '../../src/runner/bench.ts';
import { benchOptions } from '../../src/runner/bench-options.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { play } from '../../src/runner/play.ts';
import { PlayedTwin, RunningTwin, spoiledBy, twinScenario } from '../../src/runner/twin.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { problemText } from '../../src/scenario/source.ts';
import { expectNear } from '../support/near.ts';
import { acting, OPTIONS } from './rig.ts';

const TEXT = `format: 2
title: A weak magnet
drill: bench-18
seed: 9
duration: 120 ms
chuck: { meets: nothing, gear: 1, direction: in }
timeline:
  - { at: 5 ms, trigger: 60 %, over: 10 ms }
faults:
  - { fault: magnet-weak, size: 20 %, at: 60 ms }
checks:
  - { name: before, signal: currentA, take: largest, against: twin, to: 59 ms, at least: 0 A, at most: 0 A }
  - { name: flux, signal: magnetFlux, take: last, against: twin, at most: 0 mWb }
  - { name: apart, signal: currentA, take: deviation, after fault: 1, at least: 0.1 A }
`;

function load(text: string): Scenario {
  const result = loadScenario(text, 'twin.yaml');
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.scenario;
}

function bench(scenario: Scenario): Bench {
  const options = benchOptions(scenario);
  return new Bench({ ...options, controller: builtInFor(scenario.controller, options.drill, options.board) });
}

describe('the fault-free twin', () => {
  const scenario = load(TEXT);

  it('is the run without its faults, bit by bit', async () => {
    const alone = await play(twinScenario(scenario), bench(scenario));
    const twin = new RunningTwin(twinScenario(scenario), bench(scenario));
    const outcome = await play(scenario, bench(scenario), { twin });
    expect(outcome.twin).toEqual({ stateHash: alone.stateHash, why: '' });
    expect(outcome.stateHash).not.toBe(alone.stateHash);
  });

  it('leaves the run as it is', async () => {
    const twin = new RunningTwin(twinScenario(scenario), bench(scenario));
    const together = await play(scenario, bench(scenario), { twin });
    const alone = await play(scenario, bench(scenario));
    expect(together.stateHash).toBe(alone.stateHash);
    expect(alone.twin).toBeUndefined();
  });

  it('does not differ before the fault, and by the size of the fault after it', async () => {
    const twin = new RunningTwin(twinScenario(scenario), bench(scenario));
    const { checks, verdict } = await play(scenario, bench(scenario), { twin });
    expect(verdict).toBe('passed');
    expect(checks.find(({ name }) => name === 'before')).toMatchObject({ value: 0, margin: 0 });
    const because = 'a fifth of the flux of the preset; the magnets warm by less than 1 K, which is 0.1 % of it';
    const lost_mWb = 0.2 * PRESETS['bench-18'].winding.magnet_Wb * 1000;
    const flux = checks.find(({ name }) => name === 'flux')?.value ?? Number.NaN;
    expectNear(flux, -lost_mWb, { abs: 0.01 * lost_mWb, because });
  });

  it('gives the same results when it was played before the run', async () => {
    const plain = twinScenario(scenario);
    const beside = await play(scenario, bench(scenario), { twin: new RunningTwin(plain, bench(scenario)) });
    const first = bench(scenario);
    const twin = new PlayedTwin(scenario, first.plant.period_s);
    const { stateHash } = await play(plain, first, { tick: (sample) => twin.keep(sample) });
    twin.end(stateHash, spoiledBy(first));
    const after = await play(scenario, bench(scenario), { twin });
    expect(after.checks).toEqual(beside.checks);
    expect(after.twin).toEqual(beside.twin);
  });

  it('leaves what compares with it unjudged when there is none, and the run not passed', async () => {
    const { checks, verdict } = await play(scenario, bench(scenario));
    expect(verdict).toBe('failed');
    for (const check of checks.slice(0, 3)) {
      expect(check).toMatchObject({ verdict: 'not evaluated', why: 'it was played without its twin' });
    }
  });

  it('leaves it unjudged as well when the twin loses its controller', async () => {
    const dying = new Bench({
      ...benchOptions(scenario),
      controller: acting((sense, drive) => {
        if (sense.tick > 300) throw new Error('out of larch');
        drive.tick = sense.tick;
      }),
    });
    const twin = new RunningTwin(twinScenario(scenario), dying);
    const outcome = await play(scenario, bench(scenario), { twin });
    expect(outcome.twin?.why).toMatch(/^the twin is not valid: controller failed in tick \d+: Error: out of larch/);
    expect(outcome.checks[0]).toMatchObject({ verdict: 'not evaluated', why: outcome.twin?.why });
  });

  it('is refused before the run when it would keep more than memory allows', () => {
    const long = { ...scenario, duration_s: 600 };
    expect(() => new PlayedTwin(long, 10e-6)).toThrow(/the twin would have to keep \d+ numbers; allowed are 50000000/);
  });
});

describe('a drill that a scenario sets', () => {
  const changed = load(
    TEXT.replace(
      'chuck:',
      'set: { winding.r_ohm: 15 mohm }\nstart: { rotor angle: 90 deg el, charge: 40 %, temperature: 0 °C }\nchuck:',
    ),
  );

  it('is the one that is played', () => {
    const { plant } = bench(changed);
    expect(plant.params.winding.r_ohm).toBe(0.015);
    expect(plant.read('charge')).toBe(0.4);
    expect(plant.read('windingHeat')).toBe(273.15);
    expectNear(plant.read('sin'), 1, { abs: 1e-12, because: 'own sine against the exact value at 90 degrees' });
  });

  it('is never taken for the preset', async () => {
    const preset = new Bench({ ...OPTIONS, controller: builtInFor('hall-six-step', OPTIONS.drill, OPTIONS.board) });
    await expect(play(changed, preset)).rejects.toThrow(
      /the scenario sets winding\.r_ohm to 0\.015; the bench was made with/,
    );
    const noAngle = { ...benchOptions(changed), rotorAngle_rad: 1 };
    const other = new Bench({ ...noAngle, controller: builtInFor('hall-six-step', noAngle.drill, noAngle.board) });
    await expect(play(changed, other)).rejects.toThrow('the scenario sets the rotor angle at the start');
  });
});
