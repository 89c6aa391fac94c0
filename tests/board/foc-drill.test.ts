/** The field-oriented C starter on the virtual drill, over its link: what it is for. */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { LockStepLink } from '../../src/links/link.ts';
import { openStdioLink } from '../../src/links/node-stdio.ts';
import { LOADS } from '../../src/plant/load/index.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { DUTY_FULL, STATE_RUNNING, STATE_STALLED } from '../../src/protocol/frames.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { play } from '../../src/runner/play.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import { BENCH_BOARD } from '../../src/sensing/board.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { starterCommand } from '../support/c-starter.ts';
import { expectNear } from '../support/near.ts';

const drill = PRESETS['bench-18'];
let link: LockStepLink;
beforeAll(async () => {
  link = await openStdioLink(await starterCommand('--foc'), { hello_s: 30 });
});
afterAll(() => link?.close());

function bench(gear: 1 | 2, direction: 1 | -1 = 1): LockStepBench {
  const b = new LockStepBench({ drill, board: BENCH_BOARD, seed: 3, h_s: 1e-6, link });
  b.plant.hands.set('direction', direction);
  b.plant.hands.set('gear', gear);
  return b;
}

/** Runs for span_s; means over its second half of truth and estimate, largest duty and states of all of it. */
async function run(b: LockStepBench, span_s: number) {
  const ticks = Math.round(span_s * 20_000);
  const means = { speed: 0, d: 0, q: 0, seenD: 0, seenQ: 0 };
  const states = new Set<number>();
  let duty = 0;
  let peak_A = 0;
  const at = (id: SignalId) => b.sample[SIGNAL_INDEX[id]];
  for (let k = 0; k < ticks; k++) {
    await b.tickOnce();
    states.add(b.drive.state);
    duty = Math.max(duty, b.drive.dutyA, b.drive.dutyB, b.drive.dutyC);
    peak_A = Math.max(peak_A, Math.abs(at('currentA')), Math.abs(at('currentB')), Math.abs(at('currentC')));
    if (k < ticks / 2) continue;
    means.speed += at('motorSpeed') / (ticks / 2);
    means.d += at('currentD') / (ticks / 2);
    means.q += at('currentQ') / (ticks / 2);
    means.seenD += b.drive.watch[1] / (ticks / 2);
    means.seenQ += b.drive.watch[2] / (ticks / 2);
  }
  expect(b.controllerLost).toBe('');
  return { ...means, states, duty: duty / DUTY_FULL, peak_A };
}

describe('field-oriented C starter on the virtual drill', () => {
  it('seats a screw and removes it: every check of the scenario', async () => {
    const file = 'scenarios/seat-and-remove-screw.yaml';
    const loaded = loadScenario(readFileSync(file, 'utf8'), file);
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    const { seed, step_s } = loaded.scenario;
    const b = new LockStepBench({ drill, board: BENCH_BOARD, seed, h_s: step_s, link });
    const outcome = await play(loaded.scenario, b);
    expect(outcome.checks.filter(({ verdict }) => verdict !== 'pass')).toEqual([]);
    expect(outcome.verdict).toBe('passed');
  });

  it('holds the speed of the trigger, light and under load, and knows its currents', async () => {
    const b = bench(2);
    b.plant.hands.set('trigger', 0.6);
    await run(b, 0.3);
    for (const grip of [0, 3]) {
      b.plant.hands.set('grip', grip);
      const { speed, d, q, seenD, seenQ, duty } = await run(b, 0.4);
      expectNear(speed, 0.6 * 2200, {
        abs: 4,
        because: 'noise of the trigger potentiometer: 1.5 of 3276 counts of 2200 rad/s',
      });
      expectNear(d, 0, {
        abs: 0.1,
        because: 'an integral holds d at 0; 0.1 A is the angle error of 0.15 degrees at 36 A',
      });
      const because = 'the sample differs from the truth by 0.1 us of slope, and by offsets known to 0.1 count';
      expectNear(seenQ, q, { abs: 0.2, because });
      expectNear(seenD, d, { abs: 0.2, because });
      expect(duty).toBeLessThanOrEqual(0.9401);
    }
  });

  it('gives the torque per ampere of its magnets: 1.5 p times flux', async () => {
    const b = bench(2);
    b.plant.hands.set('trigger', 0.3);
    b.plant.hands.set('grip', 3);
    const light = bench(2);
    light.plant.hands.set('trigger', 0.3);
    const loaded_A = (await run(b, 0.8)).q;
    const free_A = (await run(light, 0.8)).q;
    // High gear: two stages of 1 + ring/sun = 4 and 3.5; each passes 0.945 of the torque without its share of rolling.
    const torque_Nm = (loaded_A - free_A) * 1.5 * 4 * 1.15e-3 * (1 + 36 / 12) * (1 + 60 / 24);
    const because = 'the gear keeps 3 to 11 % of the torque, and iron and magnet are warm by some kelvin: 12 %';
    expect(torque_Nm).toBeGreaterThan(3);
    expectNear(torque_Nm, 3, { abs: 0.36, because });
  });

  it('does not wind up where the voltage ends', async () => {
    const b = bench(2);
    b.plant.hands.set('trigger', 1);
    b.plant.hands.set('grip', 3);
    const held = await run(b, 0.8);
    expect(held.speed).toBeLessThan(2000);
    expectNear(held.d, 0, {
      abs: 0.3,
      because: 'the d axis has first call on the voltage; its ripple at 13 samples a turn',
    });
    b.plant.hands.set('grip', 0);
    await run(b, 0.3);
    const { speed } = await run(b, 0.3);
    expectNear(speed, 2200, {
      abs: 10,
      because: 'one count of the trigger is 0.7 rad/s; the loop settles to 0.5 % in 0.45 s',
    });
  });

  it('turns the other way in the low gear', async () => {
    const b = bench(1, -1);
    b.plant.hands.set('trigger', 0.5);
    expectNear((await run(b, 0.4)).speed, -1100, { abs: 4, because: 'noise of the trigger, as above' });
  });

  it('holds a stalled chuck at its limit, then lowers the current', async () => {
    const b = bench(1);
    b.plant.hands.set('meets', LOADS.indexOf('stop'));
    b.plant.hands.set('trigger', 0.5);
    const pressed = await run(b, 0.5);
    expect(pressed.states.has(STATE_STALLED)).toBe(false);
    expectNear(pressed.q, 66, { abs: 1, because: 'the Halls leave the angle open by up to 30 degrees: here 4' });
    expect(pressed.peak_A).toBeLessThan(75);
    const { states } = await run(b, 0.3);
    expect([...states]).toEqual([STATE_RUNNING, STATE_STALLED]);
  });
});
