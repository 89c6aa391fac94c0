/** Which scale a row uses, and where a value stands in it. */
import type { Row } from '../style/rows.ts';

export interface Scale {
  readonly low: number;
  readonly high: number;
  readonly marks: readonly number[];
}

/** Share of the uppermost mark that is kept free above it. */
const HEADROOM = 0.42;
/** Share of it below zero when nothing is expected there. */
const FOOTROOM = 0.08;

/** The scale whose marks hold `least` to `greatest`, in the display unit of the row. */
export function chooseScale(row: Row, least: number, greatest: number): Scale {
  const reach = row.id === 'angle' ? 0 : Math.max(greatest, -least);
  const top = row.tops.find((t) => reach <= t * (1 + HEADROOM * 0.9)) ?? row.tops[row.tops.length - 1];
  const below = row.below === 'always' || (row.below === 'when needed' && least < -0.12 * top);
  if (row.id === 'angle') return { low: -180, high: 180, marks: [-90, 0, 90] };
  if (row.id === 'pack') return { low: -1, high: 23, marks: [0, 10, 20] };
  if (below) return { low: -top * (1 + HEADROOM), high: top * (1 + HEADROOM), marks: [-top, 0, top] };
  return { low: -top * FOOTROOM, high: top * (1 + HEADROOM * 0.6), marks: [0, top / 2, top] };
}

/** Where a row draws: below its name line, inside its lane [CSS px]. */
export interface Lane {
  readonly row: Row;
  readonly top: number;
  readonly bottom: number;
  readonly scale: Scale;
  /** Scale of the close-up, which has its own: what matters there may be small in the run. */ readonly close: Scale;
}

/** The lane as the close-up sees it. */
export function asClose(lane: Lane): Lane {
  return { ...lane, scale: lane.close };
}

/** Height at which a value in the display unit stands. */
export function yOf(lane: Lane, value: number): number {
  const { low, high } = lane.scale;
  return lane.bottom - ((value - low) / (high - low)) * (lane.bottom - lane.top);
}

/** Number with a real minus. */
export function plain(value: number): string {
  return String(value).replace('-', '\u2212');
}
