/** What a person does to the drill. The values live in the plant vector, so a snapshot has them too. */
import { requireRange } from '../units/checks.ts';
import { LOADS, placeLoad } from './load/index.ts';
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

/** Everything that a hand can set, with its range. */
export const HANDS = Object.freeze({
  trigger: row(0, 1, false, '', 'trigger travel'),
  direction: row(-1, 1, true, '', '1 in, 0 locked, -1 out'),
  gear: row(1, 2, true, '', '1 low, 2 high'),
  grip: row(0, 100, false, 'N·m', 'largest torque of a hand that grips the chuck, 0 for none'),
  meets: row(0, LOADS.length - 1, true, '', 'what the chuck meets, index into LOADS'),
});
export type HandName = keyof typeof HANDS;

const MEETS = slot('meets');

export class Hands {
  private readonly x: Float64Array;

  constructor(state: Float64Array) {
    this.x = state;
  }

  /** Sets one hand. Throws RangeError with name, value and range; a new `meets` places a new screw or stop. */
  set(name: HandName, value: number): void {
    const { low, high, whole, unit } = HANDS[name];
    requireRange(name, value, low, high, unit);
    if (whole && !Number.isInteger(value)) throw new RangeError(`${name} is ${value}; allowed is a whole number`);
    const before = this.x[slot(name)];
    this.x[slot(name)] = value;
    if (name === 'meets' && value !== before) placeLoad(this.x, 0);
  }

  /** Present value of one hand. */
  get(name: HandName): number {
    return this.x[slot(name)];
  }

  /** Puts a new screw to the wood with its tip at depth_m, or the hard stop ahead of the chuck. */
  placeNew(depth_m = 0): void {
    requireRange('depth_m', depth_m, 0, 1, 'm');
    placeLoad(this.x, depth_m);
  }

  /** Name of what the chuck meets. */
  get meets(): string {
    return LOADS[this.x[MEETS]];
  }
}
