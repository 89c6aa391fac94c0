/** Faults of the bench on show: armed first, then fired. Part of DrillApi; every value survives a structured clone. */
import type { Leg, Place } from '../src/faults/entry.ts';
import type { FaultOrder } from '../src/faults/order.ts';
import type { Shape } from '../src/faults/shape.ts';
import type { SignalId } from '../src/signals.ts';

/** When a fault that was fired comes into force. */
export type FaultWhen =
  | { readonly kind: 'at once' }
  /** So long after it was fired. */
  | { readonly kind: 'after'; readonly after_s: number }
  /** At this moment of the run; one that has passed is refused when it is fired. */
  | { readonly kind: 'at'; readonly at_s: number }
  /** When a signal has been beyond a value, SI, for long enough. */
  | {
      readonly kind: 'when';
      readonly signal: SignalId;
      readonly side: 'above' | 'below';
      readonly value: number;
      readonly held_s: number;
    };

/** A fault as it is asked for; what is left out is as usual. */
export interface FaultAsk {
  /** Id of the catalogue. */ readonly fault: string;
  /** SI. */ readonly size?: number;
  readonly leg?: Leg;
  readonly shape?: Shape;
  readonly when?: FaultWhen;
  /** Goes by itself after this time [s]; stays when left out. */ readonly for_s?: number;
}

/** The same, complete and found to be allowed. */
export interface LiveOrder extends Omit<FaultOrder, 'begin'> {
  readonly size: number;
  readonly when: FaultWhen;
}

/** armed: does nothing until it is fired; waits: fired, its moment has not come; active: in force. */
export type FaultState = 'armed' | 'waits' | 'active';

export interface LiveFault {
  readonly handle: number;
  readonly fault: string;
  readonly name: string;
  readonly leg?: Leg;
  readonly place: Place;
  readonly state: FaultState;
  /** Virtual time since which it is in this state [s]. */ readonly since_s: number;
  /** SI; 1 for a fault that is there or not. */ readonly size: number;
  /** Size, shape and moment, in words. */ readonly words: string;
}

/** A fault of the catalogue as a page shows it. */
export interface FaultRow {
  readonly id: string;
  readonly name: string;
  readonly place: Place;
  readonly placeText: string;
  readonly does: string;
  readonly sight: string;
  readonly source: string;
  readonly needs: readonly string[];
  readonly legs: boolean;
  /** In the unit that people read; none for a fault that is there or not. */
  readonly size?: {
    readonly unit: string;
    readonly low: number;
    readonly high: number;
    readonly usual: number;
    readonly doc: string;
    /** SI value of one of that unit. */ readonly factor: number;
  };
  /** Signals in which it is seen first, by the leg; alike where it has none. */
  readonly signals: Readonly<Record<Leg, readonly SignalId[]>>;
}

export interface FaultApi {
  /** Everything that can be injected, in the order of the places. */
  faultRows(): readonly FaultRow[];
  /** Arms a fault: nothing happens yet. Returns its handle. Throws RangeError saying what is not allowed, and what is. */
  armFault(ask: FaultAsk): number;
  /** Fires an armed fault. Throws RangeError when it is not armed, or when its moment has passed. */
  fireFault(handle: number): void;
  /** Disarms it, or takes it away: what it broke heals. Throws RangeError when it is not there. */
  clearFault(handle: number): void;
  clearFaults(): void;
}

/** How the faults stand; part of LinkNews. */
export interface FaultNews {
  readonly faults: readonly LiveFault[];
  /** Spans of virtual time in which a fault was in force [s], the latest 64 of them; the end of one that still is: NaN. */
  readonly faultSpans: readonly (readonly [from_s: number, to_s: number])[];
}
