/**
 * The same scenario with the same built-in controller gives the same plant vector, bit for bit, on the command line's
 * runner in Node and in the page's worker in Chromium. No tolerance: the step uses only operations that IEEE 754 rounds
 * correctly.
 */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadScenario } from '../../src/scenario/load.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { playScenario } from '../../worker/play-scenario.ts';
import { sim } from '../cli/sim.ts';
import { OpenPage } from '../support/page.ts';

const FILE = 'scenarios/seat-and-remove-screw.yaml';

function scenario(): Scenario {
  const result = loadScenario(readFileSync(FILE, 'utf8'), FILE);
  if (!result.ok) throw new Error(result.problems.map(({ text }) => text).join('\n'));
  return result.scenario;
}

describe('state hash', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
  });
  afterAll(async () => {
    await open?.close();
  });

  it('of a scenario is the same on the command line and in the worker of the browser', async () => {
    const there = await open.playInWorker(scenario());
    expect(there).toMatchObject({ verdict: 'passed', ticks: 88_000 });
    const { out } = await sim('run', FILE);
    expect(out).toContain(`state hash ${there.stateHash}`);
  });

  it('differs when a hand moves one PWM period later', async () => {
    const short = { ...scenario(), duration_s: 0.2 };
    const later = { ...short, timeline: short.timeline.map((e) => ({ ...e, at_s: e.at_s + 50e-6 })) };
    expect((await playScenario(later)).stateHash).not.toBe((await playScenario(short)).stateHash);
  });
});
