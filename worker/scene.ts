/**
 * A scenario on the bench on show: its timeline and its faults act by themselves at their ticks, as when it is played, so that
 * the bits are the same; hands and faults of the page come on top.
 *
 * State  own fields only, so that a snapshot sees it and going back in time takes the scenario back too.
 */
import type { Begin } from '../src/faults/condition.ts';
import { faultOrder } from '../src/faults/order.ts';
import type { Plant } from '../src/plant/plant.ts';
import { Bench } from '../src/runner/bench.ts';
import { benchOptions } from '../src/runner/bench-options.ts';
import type { BenchCore } from '../src/runner/core.ts';
import { handle, setUp } from '../src/runner/handle.ts';
import type { Handling, Scenario } from '../src/scenario/scenario.ts';
import { Timeline } from '../src/scenario/timeline.ts';
import type { SignalId } from '../src/signals.ts';
import type { FaultWhen } from './fault-api.ts';
import { HeldController } from './held-controller.ts';
import { LiveFaults } from './live-faults.ts';
import { type InProcess, type Made, readings } from './make-bench.ts';
import { controllerNamed } from './named.ts';

/** Hands of the plant that a timeline moves just now: kept outside, since a snapshot takes no functions. */
const HAND = {
  plant: undefined as Plant | undefined,
  handle(change: Handling): void {
    if (HAND.plant) handle(HAND.plant.hands, change);
  },
};

/** Handles of the faults of a scenario: far from those that a page gives. */
const HANDLES = 1_000_000;
/** As the injector seeds the orders of a run, so that what is drawn is the same. */
const SEED_STEP = 7919;
const SEEDS = 2 ** 32;

export class Scene extends LiveFaults {
  private readonly timeline: Timeline;

  constructor({ seed, faults = [], timeline }: Scenario, tick_s: number) {
    super(seed);
    this.timeline = new Timeline(timeline, tick_s);
    faults.forEach((order, k) => {
      const checked = faultOrder(order);
      const live = Object.freeze({ ...checked, when: whenOf(checked.begin) });
      this.holdOrdered(HANDLES + k + 1, live, checked.begin, (seed + SEED_STEP * (k + 1)) % SEEDS);
    });
  }

  /** Hands still move by themselves. */
  get moves(): boolean {
    return !this.timeline.ended;
  }

  override act(bench: BenchCore): void {
    HAND.plant = bench.plant;
    this.timeline.act(bench.plant.tick, HAND);
    super.act(bench);
  }
}

function whenOf(begin: Begin): FaultWhen {
  return begin.kind === 'at' ? { kind: 'at', at_s: begin.at_s } : { ...begin, signal: begin.signal as SignalId };
}

/** A bench on which the scenario stands at its start. Throws RangeError on an unknown name. */
export function makeScene(scenario: Scenario): InProcess & Made {
  const options = benchOptions(scenario);
  const held = new HeldController(controllerNamed(scenario.controller, options.drill, options.board));
  const bench = new Bench({ ...options, controller: held });
  setUp(bench.plant, scenario.chuck);
  return { coupling: 'in-process', bench, held, faults: new Scene(scenario, bench.plant.period_s), ...readings(bench) };
}
