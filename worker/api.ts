/** The facade of the drill worker. Every value survives a structured clone; samples go over their own port. */

import type { LossCause } from '../src/links/link.ts';
import type { Identity } from '../src/links/rejoin.ts';
import type { DrillSheet } from '../src/plant/describe/sheet.ts';
import type { RunVerdict } from '../src/runner/play.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import type { FaultApi, FaultNews } from './fault-api.ts';
import type { PastApi, PastNews } from './past-api.ts';
import type { RecordingApi } from './recording-api.ts';
import type { Otherwise } from './runs-api.ts';

export type * from './fault-api.ts';
export type * from './past-api.ts';
export type * from './recording-api.ts';
export type * from './runs-api.ts';
export type { DrillSheet };

/** What hands do. Each key may be left out: it then stays as it is. */
export interface Hands {
  /** Trigger travel, 0 to 1. */ readonly trigger?: number;
  /** 1 in, 0 locked, -1 out. */ readonly direction?: number;
  /** 1 low, 2 high. */ readonly gear?: number;
  /** Torque up to which a hand holds the chuck [N·m], 0 for none. */ readonly grip_Nm?: number;
  /** Index into `BenchInfo.loads`. */ readonly meets?: number;
  /** Setting of the clutch, 1 to the number of `BenchInfo.clutch.settings_Nm`; 0 locked. */ readonly clutch?: number;
  /** How firmly the tool is held: share of the wrist of the drill, 0 for a vice. */ readonly wrist?: number;
  /** Force with which the bit is pushed to the work [N]. */ readonly push_N?: number;
}

/** What a page must know to draw a drill; constant for a run. */
export interface BenchInfo {
  readonly drill: string;
  readonly title: string;
  /** Name of a built-in controller, or what a board calls itself. */ readonly controller: string;
  readonly coupling: 'in-process' | 'lock-step';
  /** What a board said about itself; none when the controller is built in. */ readonly board?: BoardSaid;
  /** Names and units of the watch values, in their order. */
  readonly watch: readonly { readonly name: string; readonly unit: string; readonly signal?: string }[];
  readonly pwm_Hz: number;
  readonly step_s: number;
  readonly polePairs: number;
  /** Cells in series. */ readonly cells: number;
  /** Motor turns per chuck turn in gear 1 and gear 2. */ readonly ratios: readonly [number, number];
  /** Stages of the gearbox: teeth of sun and ring. */ readonly stages: readonly (readonly [number, number])[];
  /** Stages that turn against each other in gear 1 and gear 2; the others run as one. */
  readonly stagesInGear: readonly [number, number];
  readonly loads: readonly string[];
  /** What the state and trip numbers of the controller mean. */
  readonly stateText: Readonly<Record<number, string>>;
  readonly tripText: Readonly<Record<number, string>>;
  readonly screw: { readonly pitch_m: number; readonly seat_m: number };
  /** Bit and work for a hole. */ readonly bores: { readonly wood: BoreSize; readonly steel: BoreSize };
  /** Torque at which the clutch lets go, by setting, and its teeth. */
  readonly clutch: { readonly settings_Nm: readonly number[]; readonly detents: number };
  /** Torque at which the tool turns in a hand of usual firmness. */ readonly wristGrip_Nm: number;
}

/** A hole: its diameter, the thickness of the work, the height of the point of the bit. */
export interface BoreSize {
  readonly diameter_m: number;
  readonly thickness_m: number;
  readonly tip_m: number;
}

/** Who a board is, as its Hello says. */
export interface BoardSaid {
  /** Where it was reached. */ readonly place: string;
  readonly name: string;
  readonly uid: string;
  readonly firmware: string;
  /** Version of the protocol. */ readonly version: number;
  readonly updates: number;
  /** Bits of its converter. */ readonly bits: number;
  /** Legs that have a shunt, such as 'abc'. */ readonly shunts: string;
  readonly halls: boolean;
  /** What else it reads: phase voltages, thermistors, and how the tool turns and is pushed. */ readonly phases: boolean;
  readonly thermistors: boolean;
  readonly gyro: boolean;
  readonly accelerometer: boolean;
  /** Takes all its time from the frames; else its timers run in wall time while the drill waits. */
  readonly virtualTick: boolean;
}

/** Where a board is: behind a WebSocket, behind the bridge whose page has this address, or on a serial port. */
export type BoardPlace =
  | { readonly kind: 'socket'; readonly address: string }
  | { readonly kind: 'bridge'; readonly page: string }
  | SerialPlace;

/** A serial port that the person chose in the window. */
export interface SerialPlace {
  readonly kind: 'serial';
  /** How it is named in messages. */ readonly name: string;
  /** Rate of the line [Bd]. */ readonly baud: number;
  /** What the browser says about the port, by which the worker finds it again. */
  readonly like: { readonly usbVendorId?: number; readonly usbProductId?: number };
}

/** Which board, by what it says about itself. */
export type Wanted = Identity;

/** Why a board does not drive: nothing was run. */
export interface Refused {
  readonly ok: false;
  readonly why: LossCause | 'misfit' | 'set-up' | 'given up';
  /** Each a sentence: what, where, and what is allowed. */ readonly lines: readonly string[];
}
export interface Welcomed {
  readonly ok: true;
  readonly info: BenchInfo;
  /** Address with which the page comes back to a bridge; good once. */ readonly again?: string;
}
export type Joined = Welcomed | Refused;

/** How the controller does, sent over the port of the samples a few times a second. Counts are since it joined. */
export interface LinkNews extends FaultNews {
  readonly coupling: BenchInfo['coupling'];
  /** Exchanges in the last second or so. */ readonly perSecond: number;
  /** Wall time from a Sense to its Drive over that time [s]. */ readonly trip_s: number;
  readonly tripMost_s: number;
  /** Share of a tick that the processor says it was busy, 0 when it does not measure. */ readonly busy: number;
  readonly busyMost: number;
  /** How long the answer that is out has been waited for [s], 0 when none is. */ readonly waited_s: number;
  readonly answered: number;
  readonly lost: number;
  readonly late: number;
  readonly repeated: number;
  readonly wrongTick: number;
  readonly restarts: number;
  readonly beatsMissed: number;
  readonly dutyClamped: number;
  /** Frames dropped, by cause in words; causes that did not occur are left out. */
  readonly drops: Readonly<Record<string, number>>;
  readonly watch: readonly number[];
  readonly notes: readonly { readonly level: number; readonly text: string }[];
  /** Why the controller is lost, '' while it is not. */ readonly loss: string;
  /** Virtual time of the loss [s]. */ readonly lostAt_s: number;
  /** The trigger reaches the board. */ readonly armed: boolean;
  /** What an attempt to open a board waits for, in words, '' for nothing in particular. */ readonly waitsFor: string;
  /** Each cell of the pack: charge, 0 to 1 of its own, and capacity over the mean. */
  readonly cells: readonly (readonly [charge: number, size: number])[];
  readonly past: PastNews;
}

/** How a scenario ended that the worker played. */
export interface Played {
  readonly verdict: RunVerdict;
  /** Why it is not a plain pass or fail, '' otherwise. */ readonly why: string;
  /** Hash of the whole plant vector at the end, 16 hex digits. */ readonly stateHash: string;
  /** PWM periods run. */ readonly ticks: number;
}

export interface DrillApi extends FaultApi, PastApi, RecordingApi {
  /** Drills and controllers that `load` takes. */
  catalog(): { readonly drills: readonly string[]; readonly controllers: readonly string[] };
  /** Each drill of `catalog`: what follows from its parameters, and their values, units, meanings and sources. */
  sheets(): readonly DrillSheet[];
  /** Builds a bench at time 0, at rest. Throws RangeError on an unknown name. */
  load(drill: string, controller: string, seed: number): BenchInfo;
  /**
   * Opens a board and puts it on a bench at time 0, at rest and not armed. What was on the bench stays there when the board is
   * refused.
   *
   * @param lent over which the window lends a serial port, should the worker not find it by itself
   * @param wanted nobody but this board, looked for until it answers or the attempt is given up
   */
  connect(drill: string, place: BoardPlace, seed: number, lent?: MessagePort, wanted?: Wanted): Promise<Joined>;
  /** Lets the trigger reach the board, or keeps it from it. */
  arm(on: boolean): void;
  /** Ends the link, or gives up opening one. All legs open, the drill coasts. */
  disconnect(): void;
  /** Takes the port over which blocks and news leave and come back. */
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
  /**
   * Plays a scenario as fast as it goes beside the bench on show, which waits meanwhile: with its own built-in controller, or
   * with the board at a WebSocket address. Rejects an unknown name and a board that is refused.
   */
  playScenario(scenario: Scenario, address?: string): Promise<Played>;
  /**
   * Puts a scenario on the bench on show, with its timeline and its faults, goes through it up to a moment and freezes there.
   * Rejects an unknown name, and a moment that the scenario does not have, with RangeError.
   */
  openScene(scenario: Scenario, otherwise: Otherwise, upTo_s: number): Promise<BenchInfo>;
  /** Why the plant stands still, '' while it is sound. */
  fault(): string;
}
