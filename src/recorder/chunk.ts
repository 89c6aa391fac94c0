/** Entries of chunks and what blocks carry in words, for both ways to read a recording. */
import { type Block, type Damage, viewOf } from './blocks.ts';
import type { RunEnd } from './header.ts';
import { END_FRONT } from './layout.ts';

/** What the index, or the chunk itself, says of a chunk. */
export interface ChunkEntry {
  readonly number: number;
  readonly at: number;
  readonly length: number;
  readonly rows: number;
  readonly firstTick: number;
  readonly lastTick: number;
  readonly checksum: number;
  /** Smallest value of each column, NaN where it has no reading. */ readonly least: Float64Array;
  readonly most: Float64Array;
}

/** Names a chunk by its number and the time it covers. */
export function chunkText(
  { number, firstTick, lastTick }: Pick<ChunkEntry, 'number' | 'firstTick' | 'lastTick'>,
  tick_s: number,
): string {
  return `chunk ${number} (ticks ${firstTick} to ${lastTick}, ${seconds(firstTick, tick_s)} to ${seconds(lastTick, tick_s)})`;
}

export const seconds = (tick: number, tick_s: number): string => `${Number((tick * tick_s).toPrecision(9))} s`;

export function textOf({ bytes, view }: Block, front: number, lengthAt: number): string {
  return new TextDecoder().decode(bytes.subarray(front, front + view.getUint32(lengthAt, true)));
}

export const endOf = (block: Block): RunEnd => JSON.parse(textOf(block, END_FRONT, 12));

export function extremesOf(view: DataView, at: number, columns: number): Pick<ChunkEntry, 'least' | 'most'> {
  const pick = (shift: number) =>
    Float64Array.from({ length: columns }, (_, k) => view.getFloat64(at + 16 * k + shift, true));
  return { least: pick(0), most: pick(8) };
}

/** What a damaged block meant to say: a copy with the one bit set right, for words only; its values are never used. */
export function meantBy({ bytes, at }: Block, { byte, bit }: Omit<Damage, 'text'>): DataView {
  const copy = bytes.slice();
  if (byte !== undefined && bit !== undefined) copy[byte - at] ^= 1 << bit;
  return viewOf(copy);
}
