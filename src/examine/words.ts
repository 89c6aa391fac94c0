/** What a board answers, in words: from the declarations of the frames; and the caution that comes first. */
import { DRIVE, type Drive, DUTY_FULL, GATE_A, GATE_B, GATE_C, STATE_TRIPPED, TRIP_NONE } from '../protocol/frames.ts';

/** Said before anything is sent to a board. */
export const CAUTION =
  'Take the power stage off motor and pack before you go on. The board is told of currents and angles that do not exist and ' +
  'may switch its legs. This works on signals: it says nothing about the safety of a real tool; that is for the product ' +
  'standard that applies, and for qualified people.';

const textOf = (field: 'state' | 'trip', value: number): string =>
  DRIVE.fields[field].codes?.find((code) => code.value === value)?.doc ?? 'a code of the board';
const nameOf = (field: 'state' | 'trip', value: number): string =>
  DRIVE.fields[field].codes?.find((code) => code.value === value)?.name ?? String(value);

export const stateText = ({ state }: Drive): string => `${state} ${nameOf('state', state)}: ${textOf('state', state)}`;
export const tripText = ({ trip }: Drive): string => `${trip} ${nameOf('trip', trip)}: ${textOf('trip', trip)}`;
/** State and trip reason by name. */
export const statusName = ({ state, trip }: Drive): string =>
  trip === TRIP_NONE ? nameOf('state', state) : `${nameOf('state', state)} with ${nameOf('trip', trip)}`;

const LEGS = [
  ['A', GATE_A],
  ['B', GATE_B],
  ['C', GATE_C],
] as const;

/** Legs that are driven, with their duties in counts. */
export function drivenLegs(drive: Drive): { leg: string; duty: number }[] {
  const duties = [drive.dutyA, drive.dutyB, drive.dutyC];
  return LEGS.flatMap(([leg, bit], k) => ((drive.gates & bit) === 0 ? [] : [{ leg, duty: duties[k] }]));
}

/** Every leg as text, e.g. 'A 12.0 %, B low, C open'. */
export function legsText(drive: Drive): string {
  const driven = drivenLegs(drive);
  return LEGS.map(([leg]) => {
    const one = driven.find((each) => each.leg === leg);
    if (!one) return `${leg} open`;
    if (one.duty === 0) return `${leg} low`;
    return one.duty >= DUTY_FULL ? `${leg} high` : `${leg} ${((100 * one.duty) / DUTY_FULL).toFixed(1)} %`;
  }).join(', ');
}

/** Two driven legs at different duties push current through the motor; a short of equal legs only drags. */
export const pushesCurrent = (drive: Drive): boolean => new Set(drivenLegs(drive).map(({ duty }) => duty)).size > 1;

export const isTripped = ({ state, trip }: Drive): boolean => state === STATE_TRIPPED || trip !== TRIP_NONE;
