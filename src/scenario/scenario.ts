/** A scenario as the runner takes it: checked, in SI, frozen. The text it came from is read by load.ts. */
import type { FaultOrder } from '../faults/order.ts';
import type { CheckSpec } from './checks/spec.ts';

export type { CheckSpec, Take } from './checks/spec.ts';

export type Shunts = 'abc' | 'ab' | 'bc' | 'ac';
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

/** How the drill stands before anything is done. */
export interface Start {
  /** Electrical; drawn from the seed when left out. */ readonly rotorAngle_rad?: number | undefined;
  /** State of charge of the pack, 0 to 1. */ readonly charge?: number | undefined;
  /** Of everything, air and cells included. */ readonly temperature_K?: number | undefined;
}

/** A number of the drill that differs from its preset. */
export interface SetValue {
  /** 'winding.r_ohm' */ readonly key: string;
  /** SI. */ readonly value: number | readonly number[];
  /** As the file says it. */ readonly text: string;
}

export interface Scenario {
  readonly title: string;
  readonly drill: string;
  readonly controller: string;
  readonly seed: number;
  readonly step_s: number;
  readonly duration_s: number;
  /** Where the drill differs from its preset. */ readonly set?: readonly SetValue[] | undefined;
  readonly start?: Start | undefined;
  /** Requirements that the run stands for. */ readonly requirements?: readonly string[] | undefined;
  /** Legs with a shunt, undefined for those of the usual board. */ readonly shunts?: Shunts | undefined;
  readonly chuck: Handling & { readonly depth_m?: number | undefined };
  /** In the order of time. */ readonly timeline: readonly TimelineEntry[];
  /** In the order of the file; checks name them by their place. */
  readonly faults?: readonly FaultOrder[] | undefined;
  readonly checks: readonly CheckSpec[];
}
