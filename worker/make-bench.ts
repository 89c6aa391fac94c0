/** Builds what the page asks for by name, or around a board. */
import { STATE_TEXT, TRIP_TEXT } from '../src/control/tables.ts';
import type { LockStepLink } from '../src/links/link.ts';
import { LOADS } from '../src/plant/load/index.ts';
import type { DrillParams } from '../src/plant/params.ts';
import { gearRatio } from '../src/plant/transmission.ts';
import { Bench } from '../src/runner/bench.ts';
import { LockStepBench } from '../src/runner/lock-step.ts';
import { boardFor } from '../src/sensing/board.ts';
import type { BenchInfo, BoreSize } from './api.ts';
import { HeldController } from './held-controller.ts';
import { HeldLink } from './held-link.ts';
import { LiveFaults } from './live-faults.ts';
import { controllerNamed, drillNamed } from './named.ts';

/** Fixed step of the page [s]: the longest that the design allows for, 1 us. */
const STEP_S = 1e-6;
/** From here on state and trip numbers are a board's own, and no table of ours says what they mean. */
const OWN_CODES = 128;

export interface InProcess {
  readonly coupling: 'in-process';
  readonly bench: Bench;
  readonly held: HeldController;
}
export interface InLockStep {
  readonly coupling: 'lock-step';
  readonly bench: LockStepBench;
  readonly held: HeldLink;
}
export type MadeBench = (InProcess | InLockStep) & Made;
export interface Made {
  /** Place of the watch value that estimates the motor speed, -1 when there is none. */ readonly speedWatch: number;
  /** Place of the one that estimates the electrical rotor angle, -1 when there is none. */ readonly angleWatch: number;
  readonly polePairs: number;
  readonly faults: LiveFaults;
}

/** A bench at time 0, at rest, with a built-in controller. Throws RangeError on an unknown name. */
export function makeBench(drill: string, controller: string, seed: number): InProcess & Made {
  const params = drillNamed(drill);
  return makeBenchOf(params, params, controller, seed);
}

/** The same with a drill that has other numbers than the preset for which its controller was built. */
export function makeBenchOf(
  params: DrillParams,
  preset: DrillParams,
  controller: string,
  seed: number,
): InProcess & Made {
  const board = boardFor(params);
  const held = new HeldController(controllerNamed(controller, preset, board));
  const bench = new Bench({ drill: params, board, seed, h_s: STEP_S, controller: held });
  return { coupling: 'in-process', bench, held, faults: new LiveFaults(seed), ...readings(bench) };
}

/** The same around a board that was found to fit. */
export function makeBoardBench(drill: string, link: LockStepLink, seed: number): MadeBench {
  const params = drillNamed(drill);
  const held = new HeldLink(link);
  const bench = new LockStepBench({ drill: params, board: boardFor(params), seed, h_s: STEP_S, link: held });
  return { coupling: 'lock-step', bench, held, faults: new LiveFaults(seed), ...readings(bench) };
}

/** Which watch values tell speed and angle. */
export function readings({ hello, plant }: Bench | LockStepBench) {
  return {
    speedWatch: hello.watch.findIndex((w) => w.signal === 'motorSpeed'),
    angleWatch: hello.watch.findIndex((w) => w.signal === 'rotorAngle'),
    polePairs: plant.params.winding.polePairs,
  };
}

/** What a page must know to draw this bench. */
export function infoOf(made: MadeBench, controller: string): BenchInfo {
  const { plant, hello } = made.bench;
  const { gear, screw, winding, bridge, clutch, body, wood, steel, pack } = plant.params;
  const [low, high] = gear.stagesInGear;
  const info = {
    drill: plant.params.name,
    title: plant.params.title,
    controller,
    coupling: made.coupling,
    watch: hello.watch.map(({ name, unit, signal }) => ({ name, unit, ...(signal ? { signal } : {}) })),
    pwm_Hz: bridge.pwm_Hz,
    step_s: plant.h_s,
    polePairs: winding.polePairs,
    cells: pack.series,
    ratios: [gearRatio(gear, low), gearRatio(gear, high)] as const,
    stages: gear.sunTeeth.map((sun, k) => [sun, gear.ringTeeth[k]] as const),
    stagesInGear: [low, high] as const,
    loads: LOADS,
    screw: { pitch_m: screw.pitch_m, seat_m: screw.seat_m },
    bores: { wood: sizeOf(wood), steel: sizeOf(steel) },
    clutch: { settings_Nm: clutch.settings_Nm, detents: clutch.detents },
    wristGrip_Nm: body.wristGrip_Nm,
  };
  if (made.coupling === 'in-process') return { ...info, stateText: STATE_TEXT, tripText: TRIP_TEXT };
  const { board: name, uid, firmware, version, updates, bits, shunts, halls, virtualTick } = hello;
  const reads = {
    phases: hello.phasePerCount_V !== undefined,
    thermistors: hello.ntc_ohm !== undefined,
    gyro: hello.gyroPerCount_rad_s !== undefined,
    accelerometer: hello.accelPerCount_m_s2 !== undefined,
  };
  return {
    ...info,
    stateText: common(STATE_TEXT),
    tripText: common(TRIP_TEXT),
    board: { place: made.held.name, name, uid, firmware, version, updates, bits, shunts, halls, ...reads, virtualTick },
  };
}

const sizeOf = ({ diameter_m, thickness_m, tip_m }: BoreSize): BoreSize => ({ diameter_m, thickness_m, tip_m });

/** What every board means by its codes. */
function common(text: Readonly<Record<number, string>>): Record<number, string> {
  return Object.fromEntries(Object.entries(text).filter(([code]) => Number(code) < OWN_CODES));
}
