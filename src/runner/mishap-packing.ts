/** Puts a Sense and a command into numbers of the plant vector, and takes them out again: whole counts, nothing is rounded. */
import { SENSE_PARTS, slot } from '../plant/slots.ts';
import type { Sense } from '../protocol/frames.ts';

/** Readings of a Sense, all of 16 bits; its tick is kept apart. */
export const READINGS = Object.freeze([
  'flags',
  'ia',
  'ib',
  'ic',
  'link',
  'trigger',
  'hallAge',
  'heatBridge',
  'heatMotor',
  'phaseA',
  'phaseB',
  'phaseC',
  'gyro',
  'accel',
] as const satisfies readonly (keyof Sense)[]);

const PER_PART = 3;
const SHIFT = 65_536;
const WITHHELD = slot('withheld0');

/** Copies tick and readings. */
export function copySense(from: Sense, to: Sense): void {
  to.tick = from.tick;
  for (let k = 0; k < READINGS.length; k++) to[READINGS[k]] = from[READINGS[k]];
}

/** Keeps the readings of a Sense in the plant vector. */
export function withhold(x: Float64Array, sense: Sense): void {
  for (let part = 0; part < SENSE_PARTS; part++) {
    let sum = 0;
    for (let k = PER_PART * part; k < PER_PART * (part + 1) && k < READINGS.length; k++)
      sum = sum * SHIFT + sense[READINGS[k]];
    x[WITHHELD + part] = sum;
  }
}

/** Takes them out again. */
export function release(x: Float64Array, sense: Sense): void {
  for (let part = 0; part < SENSE_PARTS; part++) {
    let rest = x[WITHHELD + part];
    for (let k = Math.min(PER_PART * (part + 1), READINGS.length) - 1; k >= PER_PART * part; k--) {
      sense[READINGS[k]] = rest % SHIFT;
      rest = Math.floor(rest / SHIFT);
    }
  }
}

/** What the timer is loaded with, in counts. */
export interface Command {
  gates: number;
  dutyA: number;
  dutyB: number;
  dutyC: number;
}

/** A command as one number, never 0: 3 bits of gates, 16 of each duty. */
export function packCommand({ gates, dutyA, dutyB, dutyC }: Command): number {
  return ((((gates & 7) + 1) * SHIFT + counts(dutyA)) * SHIFT + counts(dutyB)) * SHIFT + counts(dutyC);
}

export function unpackCommand(packed: number, to: Command): void {
  let rest = packed;
  to.dutyC = rest % SHIFT;
  rest = Math.floor(rest / SHIFT);
  to.dutyB = rest % SHIFT;
  rest = Math.floor(rest / SHIFT);
  to.dutyA = rest % SHIFT;
  to.gates = Math.floor(rest / SHIFT) - 1;
}

/** Whole counts as a field of 16 bits holds them. */
function counts(duty: number): number {
  return duty > 0 ? Math.min(Math.trunc(duty), SHIFT - 1) : 0;
}
