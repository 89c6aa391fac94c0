/** What a person does to the drill. The values live in the plant vector, so a snapshot has them too. */
import { requireRange } from '../units/checks.ts';
import { LOADS, placeLoad } from './load/index.ts';
import type { DrillParams } from './params.ts';
import { slot } from './slots.ts';

interface HandRow {
  readonly low: number;
  readonly high: number;
  readonly whole: boolean;
  readonly unit: string;
  readonly doc: string;
}

const row = (low: number, high: number, whole: boolean, unit: string, doc: string): HandRow =>
  Object.freeze({ low, high, whole, unit, doc });

/** Highest clutch setting that any drill may have; a drill with fewer refuses more when asked. */
const CLUTCH_MOST = 60;

/** Everything that a hand can set, with its range. */
export const HANDS = Object.freeze({
  trigger: row(0, 1, false, '', 'trigger travel'),
  direction: row(-1, 1, true, '', '1 in, 0 locked, -1 out'),
  gear: row(0, 2, true, '', '0 neutral, 1 low, 2 high'),
  clutch: row(0, CLUTCH_MOST, true, '', 'clutch setting, 0 locked'),
  grip: row(0, 100, false, 'N·m', 'largest torque of a hand that grips the chuck, 0 for none'),
  wrist: row(0, 3, false, '', 'firmness of the hand on the tool: share of the wrist of the drill, 0 for a vice'),
  ambient: row(273.15 - 40, 273.15 + 60, false, 'K', 'temperature of the air'),
  push: row(0, 600, false, 'N', 'force with which the bit is pushed to the work'),
  jointSpan: row(0.02, 20, false, 'rad', 'turn of the test joint from 10 to 100 % of its torque'),
  meets: row(0, LOADS.length - 1, true, '', 'what the chuck meets, index into LOADS'),
});
export type HandName = keyof typeof HANDS;

const MEETS = slot('meets');
const TICK = slot('tick');
const ENGAGED = slot('engaged');

export class Hands {
  private readonly x: Float64Array;
  private readonly p: DrillParams;

  constructor(state: Float64Array, params: DrillParams) {
    this.x = state;
    this.p = params;
  }

  /** Sets one hand. Throws RangeError with name, value and range; a new `meets` places new work at the chuck. */
  set(name: HandName, value: number): void {
    const { low, high, whole, unit } = HANDS[name];
    requireRange(name, value, low, name === 'clutch' ? this.p.clutch.settings_Nm.length : high, unit);
    if (whole && !Number.isInteger(value)) throw new RangeError(`${name} is ${value}; allowed is a whole number`);
    const before = this.x[slot(name)];
    this.x[slot(name)] = value;
    if (name === 'meets' && value !== before) placeLoad(this.x, this.p, 0);
    // Before the first update nothing turns: the gear is simply in.
    if (name === 'gear' && this.x[TICK] === 0) this.x[ENGAGED] = value;
  }

  /** Present value of one hand. */
  get(name: HandName): number {
    return this.x[slot(name)];
  }

  /** Puts new work to the chuck: screw or bit with its tip at depth_m, the hard stop or joint ahead of it. */
  placeNew(depth_m = 0): void {
    requireRange('depth_m', depth_m, 0, 1, 'm');
    placeLoad(this.x, this.p, depth_m);
  }

  /** Name of what the chuck meets. */
  get meets(): string {
    return LOADS[this.x[MEETS]];
  }
}
