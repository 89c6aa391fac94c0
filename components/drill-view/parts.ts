/** The parts of the drill that can be chosen: where they lie on the drawing, and which faults belong to which. */
import type { LiveFault } from '../../worker/api.ts';
import type { Row } from '../style/rows.ts';
import { SECTION } from './geometry.ts';
import type { WORDS } from './words.ts';

export type PartId = keyof typeof WORDS.partNames;

export interface Part {
  readonly id: PartId;
  /** Places of the catalogue of faults that are looked for in this part. */
  readonly places: readonly LiveFault['place'][];
  /** Row of the record at its height. */ readonly row: Row['id'];
  /** Rectangle on the drawing: left, top, width, height. */ readonly box: readonly [number, number, number, number];
  readonly round?: boolean;
}

const { x, y, radius } = SECTION;

/** From the supply to the screw, as the drill is built; a later part lies over an earlier one. */
export const PARTS: readonly Part[] = [
  { id: 'pack', places: ['pack'], row: 'pack', box: [352, 16, 118, 144] },
  { id: 'switches', places: ['bridge', 'link'], row: 'phase', box: [262, 88, 84, 84] },
  { id: 'trigger', places: ['controls'], row: 'pack', box: [284, 174, 100, 62] },
  { id: 'board', places: ['board', 'frames'], row: 'axes', box: [112, 30, 114, 42] },
  { id: 'sensors', places: ['sensing'], row: 'angle', box: [96, 73, 146, 40] },
  {
    id: 'motor',
    places: ['motor'],
    row: 'angle',
    box: [x - radius, y - radius, 2 * radius, 2 * radius],
    round: true,
  },
  { id: 'gear', places: ['mechanics'], row: 'speed', box: [94, 374, 148, 126] },
  { id: 'chuck', places: ['mechanics'], row: 'torque', box: [108, 502, 120, 250] },
];

/** Of the faults of the mechanics, those that sit in the gearbox; the others are at the chuck and below. */
const IN_GEAR = /^(gear|clutch)-/;

/** The part in which a fault sits. */
export function partOf(fault: Pick<LiveFault, 'fault' | 'place'>): PartId {
  if (fault.place === 'mechanics') return IN_GEAR.test(fault.fault) ? 'gear' : 'chuck';
  return PARTS.find((part) => part.places.includes(fault.place))?.id ?? 'board';
}

/** The part that a trip of the controller speaks of, by the words of its reason. */
export function partOfTrip(reason: string): PartId {
  if (/link|voltage|cell|pack/i.test(reason)) return 'pack';
  if (/hall|sensor|converter|angle/i.test(reason)) return 'sensors';
  if (/speed|winding|stall/i.test(reason)) return 'motor';
  return 'switches';
}

/** The next part for an arrow key, undefined for another key. */
export function neighbor(from: number, key: string): number | undefined {
  const last = PARTS.length - 1;
  if (key === 'ArrowDown' || key === 'ArrowRight') return from === last ? 0 : from + 1;
  if (key === 'ArrowUp' || key === 'ArrowLeft') return from === 0 ? last : from - 1;
  if (key === 'Home') return 0;
  if (key === 'End') return last;
  return undefined;
}
