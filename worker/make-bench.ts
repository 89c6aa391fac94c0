/** Builds what the page asks for by name. */
import { STATE_TEXT, TRIP_TEXT } from '../src/control/tables.ts';
import { LOADS } from '../src/plant/load/index.ts';
import { gearRatio } from '../src/plant/transmission.ts';
import { Bench } from '../src/runner/bench.ts';
import { boardFor } from '../src/sensing/board.ts';
import type { BenchInfo } from './api.ts';
import { HeldController } from './held-controller.ts';
import { controllerNamed, drillNamed } from './named.ts';

/** Fixed step of the page [s]: the longest that the design allows for, 1 us. */
const STEP_S = 1e-6;

export interface MadeBench {
  readonly bench: Bench;
  readonly held: HeldController;
  /** Place of the watch value that estimates the motor speed, -1 when there is none. */ readonly speedWatch: number;
  readonly polePairs: number;
}

/** A bench at time 0, at rest. Throws RangeError on an unknown name. */
export function makeBench(drill: string, controller: string, seed: number): MadeBench {
  const params = drillNamed(drill);
  const board = boardFor(params);
  const held = new HeldController(controllerNamed(controller, params, board));
  const bench = new Bench({ drill: params, board, seed, h_s: STEP_S, controller: held });
  return {
    bench,
    held,
    speedWatch: held.hello.watch.findIndex((w) => w.signal === 'motorSpeed'),
    polePairs: bench.plant.params.winding.polePairs,
  };
}

/** What a page must know to draw this bench. */
export function infoOf({ bench }: MadeBench, controller: string): BenchInfo {
  const { plant } = bench;
  const { gear, screw, winding, bridge } = plant.params;
  const [low, high] = gear.stagesInGear;
  return {
    drill: plant.params.name,
    title: plant.params.title,
    controller,
    pwm_Hz: bridge.pwm_Hz,
    step_s: plant.h_s,
    polePairs: winding.polePairs,
    ratios: [gearRatio(gear, low), gearRatio(gear, high)],
    stages: gear.sunTeeth.map((sun, k) => [sun, gear.ringTeeth[k]] as const),
    stagesInGear: [low, high],
    loads: LOADS,
    stateText: STATE_TEXT,
    tripText: TRIP_TEXT,
    screw: { pitch_m: screw.pitch_m, seat_m: screw.seat_m },
  };
}
