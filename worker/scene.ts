/**
 * A scenario on the bench on show: its timeline and its faults act by themselves at their ticks, as when it is played, so that
 * the bits are the same; hands and faults of the page come on top.
 *
 * State  own fields only, so that a snapshot sees it and going back in time takes the scenario back too.
 */
import { FAULTS } from '../src/faults/catalogue.ts';
import { Injector } from '../src/faults/injector.ts';
import type { Plant } from '../src/plant/plant.ts';
import { Bench } from '../src/runner/bench.ts';
import { benchOptions } from '../src/runner/bench-options.ts';
import type { BenchCore } from '../src/runner/core.ts';
import { handle, setUp } from '../src/runner/handle.ts';
import type { Handling, Scenario } from '../src/scenario/scenario.ts';
import { Timeline } from '../src/scenario/timeline.ts';
import type { FaultNews, LiveFault } from './fault-api.ts';
import { HeldController } from './held-controller.ts';
import { LiveFaults } from './live-faults.ts';
import { type InProcess, type Made, readings } from './make-bench.ts';
import { controllerNamed } from './named.ts';
import type { FaultDeed } from './past-api.ts';

/** Hands of the plant that a timeline moves just now: kept outside, since a snapshot takes no functions. */
const HAND = {
  plant: undefined as Plant | undefined,
  handle(change: Handling): void {
    if (HAND.plant) handle(HAND.plant.hands, change);
  },
};

export class Scene extends LiveFaults {
  private readonly timeline: Timeline;
  private readonly injector: Injector;
  private readonly legs: readonly (LiveFault['leg'] | undefined)[];
  private seen = 0;

  constructor(scenario: Scenario, tick_s: number) {
    super(scenario.seed);
    const { faults = [] } = scenario;
    this.timeline = new Timeline(scenario.timeline, tick_s);
    this.injector = new Injector(faults, scenario.seed);
    this.legs = Object.freeze(faults.map(({ leg }) => leg));
  }

  override act(bench: BenchCore): void {
    const { plant, sample } = bench;
    HAND.plant = plant;
    this.timeline.act(plant.tick, HAND);
    this.injector.act(plant.tick * plant.period_s, plant.period_s, sample, plant.damage);
    const { events } = this.injector;
    for (; this.seen < events.length; this.seen++) if (events[this.seen].what === 'begins') this.begun++;
    super.act(bench);
  }

  override take(deed: FaultDeed): void {
    if (deed.what !== 'arm' && deed.what !== 'clear all' && deed.handle < 0)
      throw new RangeError('this fault belongs to the scenario on the bench; it comes and goes as its file says');
    super.take(deed);
  }

  override news(): FaultNews {
    const { faults, faultSpans } = super.news();
    const own = this.injector.active().map((order): LiveFault => {
      const began = this.injector.events.find((each) => each.order === order);
      const fault = began?.fault ?? '';
      const { name, place } = FAULTS[fault];
      const leg = this.legs[order];
      const since_s = began?.at_s ?? 0;
      const words = WORDS;
      return {
        handle: -1 - order,
        fault,
        name,
        place,
        state: 'active',
        since_s,
        size: 1,
        words,
        ...(leg ? { leg } : {}),
      };
    });
    const spans = own.map(({ since_s }) => [since_s, Number.NaN] as const);
    return { faults: [...own, ...faults], faultSpans: [...spans, ...faultSpans] };
  }
}

const WORDS = 'as the scenario says';

/** A bench on which the scenario stands at its start. Throws RangeError on an unknown name. */
export function makeScene(scenario: Scenario): InProcess & Made {
  const options = benchOptions(scenario);
  const held = new HeldController(controllerNamed(scenario.controller, options.drill, options.board));
  const bench = new Bench({ ...options, controller: held });
  setUp(bench.plant, scenario.chuck);
  return { coupling: 'in-process', bench, held, faults: new Scene(scenario, bench.plant.period_s), ...readings(bench) };
}
