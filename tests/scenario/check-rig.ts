/** Follows a made-up signal with a check, tick by tick, as a run does. */
import { Check, type CheckResult } from '../../src/scenario/check.ts';
import type { CheckSpec } from '../../src/scenario/scenario.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';

export const TICK_S = 50e-6;

/** Value of a signal at a moment [s], SI. */
export type Law = (at_s: number) => number;
export type Laws = Readonly<Partial<Record<SignalId, Law>>>;

export interface Made {
  readonly run: Laws;
  readonly lasts_s: number;
  readonly twin?: Laws;
  /** Moment at which fault 0 begins. */ readonly fault_s?: number;
  readonly lost?: string;
  readonly twinLost?: string;
}

/** What the check finds; the window is the whole run unless the spec says otherwise. */
export function found(spec: Partial<CheckSpec> & Pick<CheckSpec, 'signal' | 'take'>, made: Made): CheckResult {
  const { run, twin, lasts_s, fault_s = Number.NaN, lost = '', twinLost = '' } = made;
  let now_s = 0;
  const whole = { name: 'slat', from_s: 0, to_s: lasts_s } as const;
  const check = new Check({ ...whole, ...spec }, TICK_S, () => (now_s > fault_s ? fault_s : Number.NaN));
  const sample = new Float64Array(SIGNALS.length);
  const other = new Float64Array(SIGNALS.length);
  const ticks = Math.round(lasts_s / TICK_S);
  for (let tick = 1; tick <= ticks; tick++) {
    now_s = tick * TICK_S;
    fill(sample, run, now_s);
    if (twin) fill(other, twin, now_s);
    check.see(sample, twin ? other : undefined);
  }
  return check.result(lost, undefined, twinLost);
}

function fill(sample: Float64Array, laws: Laws, now_s: number): void {
  sample[SIGNAL_INDEX.time] = now_s;
  for (const [id, law] of Object.entries(laws)) sample[SIGNAL_INDEX[id as SignalId]] = law(now_s);
}
