/** A bench as the tests of the runner want it. */
import { BUILT_IN } from '../../src/control/index.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { Bench } from '../../src/runner/bench.ts';
import type { BenchOptions } from '../../src/runner/core.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { BENCH_BOARD } from '../../src/sensing/board.ts';

export const OPTIONS: BenchOptions = { drill: PRESETS['bench-18'], board: BENCH_BOARD, seed: 11, h_s: 1e-6 };

/** The built-in Hall six-step controller, new. */
export const sixStep = (): Controller => BUILT_IN['hall-six-step']();

/** An in-process bench; the trigger is released unless said otherwise. */
export function benchWith(controller: Controller, trigger = 0, options: Partial<BenchOptions> = {}): Bench {
  const bench = new Bench({ ...OPTIONS, ...options, controller });
  bench.plant.hands.set('trigger', trigger);
  return bench;
}

/** A controller that does as the given function says, with the Hello of the built-in one. */
export function acting(tick: Controller['tick']): Controller {
  return { hello: sixStep().hello, tick };
}

/** A short press into a screw: power-up, acceleration, cutting thread, release, power-down. */
export const SHORT: Scenario = {
  title: 'A short press',
  drill: 'bench-18',
  controller: 'hall-six-step',
  seed: 11,
  step_s: 1e-6,
  duration_s: 0.1,
  chuck: { meets: 'screw', gear: 2, direction: 1, depth_m: 0.02 },
  timeline: [
    { at_s: 0.005, over_s: 0.01, trigger: 0.5 },
    { at_s: 0.08, over_s: 0, trigger: 0 },
  ],
  checks: [
    { name: 'it goes deeper', signal: 'screwDepth', take: 'largest', from_s: 0, to_s: 0.1, atLeast: 0.0201 },
    { name: 'it turns early', signal: 'chuckSpeed', take: 'largest', from_s: 0, to_s: 0.02, atLeast: 0 },
  ],
};
