/** The facade of the drill worker. Every value survives a structured clone; samples go over their own port. */

import type { DrillSheet } from '../src/plant/describe/sheet.ts';
import type { RunVerdict } from '../src/runner/play.ts';
import type { Scenario } from '../src/scenario/scenario.ts';

export type { DrillSheet };

/** What hands do. Each key may be left out: it then stays as it is. */
export interface Hands {
  /** Trigger travel, 0 to 1. */ readonly trigger?: number;
  /** 1 in, 0 locked, -1 out. */ readonly direction?: number;
  /** 1 low, 2 high. */ readonly gear?: number;
  /** Torque up to which a hand holds the chuck [N·m], 0 for none. */ readonly grip_Nm?: number;
  /** Index into `BenchInfo.loads`. */ readonly meets?: number;
}

/** What a page must know to draw a drill; constant for a run. */
export interface BenchInfo {
  readonly drill: string;
  readonly title: string;
  readonly controller: string;
  readonly pwm_Hz: number;
  readonly step_s: number;
  readonly polePairs: number;
  /** Motor turns per chuck turn in gear 1 and gear 2. */ readonly ratios: readonly [number, number];
  /** Stages of the gearbox: teeth of sun and ring. */ readonly stages: readonly (readonly [number, number])[];
  /** Stages that turn against each other in gear 1 and gear 2; the others run as one. */
  readonly stagesInGear: readonly [number, number];
  readonly loads: readonly string[];
  /** What the state and trip numbers of the controller mean. */
  readonly stateText: Readonly<Record<number, string>>;
  readonly tripText: Readonly<Record<number, string>>;
  readonly screw: { readonly pitch_m: number; readonly seat_m: number };
}

/** How a scenario ended that the worker played. */
export interface Played {
  readonly verdict: RunVerdict;
  /** Hash of the whole plant vector at the end, 16 hex digits. */ readonly stateHash: string;
  /** PWM periods run. */ readonly ticks: number;
}

export interface DrillApi {
  /** Drills and controllers that `load` takes. */
  catalog(): { readonly drills: readonly string[]; readonly controllers: readonly string[] };
  /** Each drill of `catalog`: what follows from its parameters, and their values, units, meanings and sources. */
  sheets(): readonly DrillSheet[];
  /** Builds a bench at time 0, at rest. Throws RangeError on an unknown name. */
  load(drill: string, controller: string, seed: number): BenchInfo;
  /** Takes the port over which blocks leave and come back. */
  attach(port: MessagePort): void;
  /** Lets time run at the set pace. */
  run(): void;
  /** Holds time. */
  freeze(): void;
  /** Virtual seconds per wall second, 1e-4 to 1. Throws RangeError outside. */
  setPace(pace: number): void;
  /** Advances a frozen bench by whole PWM periods, 1 to 20000. */
  step(periods: number): void;
  setHands(hands: Hands): void;
  /** Opens all legs at once, releases trigger and grip; the next squeeze lifts it. */
  stop(): void;
  /** Puts a new screw to the wood, tip at the surface, or a hard stop ahead of the chuck; time goes on. */
  newScrew(): void;
  /** Plays a scenario at full speed beside the bench on show, which waits meanwhile. Rejects an unknown name. */
  playScenario(scenario: Scenario): Promise<Played>;
  /** Why the plant stands still, '' while it is sound. */
  fault(): string;
}
