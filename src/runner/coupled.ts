/** How a controller is tied to the plant; report, page and recording always say which. */
import type { Damage } from '../plant/damage.ts';
import type { Hands } from '../plant/hands.ts';
import type { DrillParams } from '../plant/params.ts';
import type { SlotName } from '../plant/slots.ts';
import type { Hello } from '../protocol/hello.ts';
import type { SignalId } from '../signals.ts';
import type { BenchCore, Counters } from './core.ts';

export type Coupling = 'in-process' | 'lock-step' | 'rate-split';

/** Largest share of the energy that passed which may fail to balance. */
export const RESIDUAL_MOST = 1e-6;

/** What playing a scenario needs of a plant. */
export interface Played {
  readonly params: DrillParams;
  /** Virtual time of a tick [s]. */ readonly period_s: number;
  /** Virtual time since the start [s]. */ readonly time_s: number;
  /** Ticks since the start. */ readonly tick: number;
  /** '' while all is well, else what is wrong. */ readonly fault: string;
  readonly hands: Hands;
  readonly damage: Damage;
  read(name: SlotName): number;
  energy(): { passed_J: number; share: number; accounts: Record<string, number> };
  hash(): string;
}

/** A count that must stay 0 for a run to be valid. */
export interface StrictCount {
  /** What holds while it is 0. */ readonly name: string;
  readonly signal: string;
  readonly count: number;
}

/** A bench that can be played, whatever the coupling. */
export interface Coupled {
  readonly coupling: Coupling;
  readonly plant: Played;
  readonly hello: Hello;
  /** Every signal after the last tick, SI, by SIGNAL_INDEX. */ readonly sample: Float64Array;
  readonly counters: Counters;
  /** Why the controller is lost, '' while it is not. */ readonly controllerLost: string;
  /** Exchanges a second, where the coupling and not the PWM sets them [Hz]. */ readonly rate_Hz?: number;
  /** Why energy cannot balance; left out where it must. */ readonly unaudited?: string;
  /** Why no fault can be injected; left out where one can. */ readonly unbreakable?: string;
  /** Why a signal has no reading in this coupling. */ readonly absent?: Readonly<Partial<Record<SignalId, string>>>;
  /** Further counts that spoil a run. */ strictCounts?(): readonly StrictCount[];
  /** Runs one tick; a promise only where something must be waited for. */
  tickOnce(): void | Promise<void>;
}

/** A bench of a coupling in which the whole plant runs here, bridge and motor included. */
export type WholeBench = BenchCore & Coupled;
