/** A scenario as the runner takes it: checked, in SI, frozen. The text it came from is read by load.ts. */
import type { FaultOrder } from '../faults/order.ts';
import type { SignalId } from '../signals.ts';

export type Shunts = 'abc' | 'ab' | 'bc' | 'ac';
export type Take = 'largest' | 'smallest' | 'peak' | 'mean' | 'last';
export type Meets = 'nothing' | 'screw' | 'stop' | 'wood' | 'steel' | 'joint';

/** What hands do to the drill; a key that is undefined stays as it was. */
export interface Handling {
  /** Trigger travel, 0 to 1. */ readonly trigger?: number | undefined;
  /** 1 in, 0 locked, -1 out. */ readonly direction?: -1 | 0 | 1 | undefined;
  /** 0 neutral, 1 low, 2 high. */ readonly gear?: 0 | 1 | 2 | undefined;
  readonly clutch?: number | undefined;
  readonly push_N?: number | undefined;
  /** Share of the wrist of the drill, 0 for a vice. */ readonly wrist?: number | undefined;
  /** Turn of the test joint from 10 to 100 %. */ readonly span_rad?: number | undefined;
  readonly ambient_K?: number | undefined;
  readonly grip_Nm?: number | undefined;
  readonly meets?: Meets | undefined;
}

export interface TimelineEntry extends Handling {
  readonly at_s: number;
  /** Time that the trigger takes to its new travel; 0: at once. */ readonly over_s: number;
}

export interface CheckSpec {
  readonly name: string;
  readonly signal: SignalId;
  readonly take: Take;
  readonly from_s: number;
  readonly to_s: number;
  /** Limits in SI. */ readonly atLeast?: number | undefined;
  readonly atMost?: number | undefined;
}

export interface Scenario {
  readonly title: string;
  readonly drill: string;
  readonly controller: string;
  readonly seed: number;
  readonly step_s: number;
  readonly duration_s: number;
  /** Legs with a shunt, undefined for those of the usual board. */ readonly shunts?: Shunts | undefined;
  readonly chuck: Handling & { readonly depth_m?: number | undefined };
  /** In the order of time. */ readonly timeline: readonly TimelineEntry[];
  /** In the order of the file; checks name them by their place. */
  readonly faults?: readonly FaultOrder[] | undefined;
  readonly checks: readonly CheckSpec[];
}
