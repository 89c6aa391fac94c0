/**
 * Finds and checks the blocks of a recording, and says of a damaged one what is wrong: which single bit, if one explains
 * it. A damaged length or letter does not lead astray, since a block has but few lengths that its other numbers allow.
 */
import { crc32, flippedBit } from './crc32.ts';
import type { Column } from './header.ts';
import {
  CHUNK,
  CHUNK_FRONT,
  chunkLayout,
  END_FRONT,
  ENDS,
  FRONT_BYTES,
  HEAD,
  HEAD_FRONT,
  INDEX,
  INDEX_CHUNKS,
  indexBytes,
  padded,
  ROWS_MOST,
  SEAL_BYTES,
  TEXT_MOST,
} from './layout.ts';

/** Bytes from anywhere: a file, a Blob of a page, memory. What it gives begins at a multiple of eight in its buffer. */
export interface ByteSource {
  readonly size: number;
  /** @returns fewer bytes only where the source ends */
  read(at: number, length: number): Uint8Array | Promise<Uint8Array>;
}

export interface Damage {
  /** What is wrong, where, and what it costs. */ readonly text: string;
  /** Place of the one bit that explains it. */ readonly byte?: number;
  readonly bit?: number;
}

/** A recording that cannot be read, with the reason in words. */
export class RecordingError extends Error {
  readonly damage: Damage;

  constructor(damage: Damage | string) {
    const told = typeof damage === 'string' ? { text: damage } : damage;
    super(told.text);
    this.damage = told;
  }
}

export interface Block {
  readonly letters: number;
  readonly at: number;
  readonly bytes: Uint8Array;
  readonly view: DataView;
  /** undefined when its checksum holds. */ readonly damage?: Omit<Damage, 'text'> & { readonly why: string };
}

const NAMES = new Map([
  [HEAD, 'header'],
  [CHUNK, 'chunk'],
  [INDEX, 'index'],
  [ENDS, 'end'],
]);

export const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

/** Why the checksum of a block does not hold, or undefined when it does. @param at where it lies in the file */
export function damageOf(bytes: Uint8Array, at: number): Block['damage'] {
  const length = bytes.length - 4;
  const stored = viewOf(bytes).getUint32(length, true);
  const computed = crc32(bytes, 0, length);
  if (stored === computed) return undefined;
  const found = flippedBit(stored, computed, length);
  if (!found) return { why: 'its checksum does not hold, and no single bit explains it' };
  const byte = at + found.byte;
  return { why: `bit ${found.bit} of byte ${byte} is flipped`, byte, bit: found.bit };
}

/**
 * The block at a place, damaged or not; undefined when none begins there or the file ends within it.
 *
 * @param columns of the header; none while that is not read
 */
export async function blockAt(
  source: ByteSource,
  at: number,
  columns: readonly Column[],
  chunkRows: number,
): Promise<Block | undefined> {
  const front = await source.read(at, FRONT_BYTES);
  if (front.length < SEAL_BYTES + 8) return undefined;
  const letters = lettersOf(viewOf(front).getUint32(0, true));
  if (letters === undefined) return undefined;
  let damaged: Block | undefined;
  for (const length of lengths(letters, front, columns, chunkRows)) {
    if (length > source.size - at) continue;
    const bytes = await source.read(at, length);
    if (bytes.length < length) continue;
    const block = { letters, at, bytes, view: viewOf(bytes) };
    const damage = damageOf(bytes, at);
    if (!damage) return block;
    // A length that one bit explains is the right one; else the first that is possible stands for the block.
    if (damage.byte !== undefined) return { ...block, damage };
    if (viewOf(bytes).getUint32(length - SEAL_BYTES, true) === length) damaged ??= { ...block, damage };
  }
  return damaged;
}

export const nameOf = (letters: number): string => NAMES.get(letters) ?? 'block';

/** The letters meant: those found, or the only ones that differ from them in one bit. */
function lettersOf(found: number): number | undefined {
  if (NAMES.has(found)) return found;
  for (const known of NAMES.keys()) {
    const difference = (found ^ known) >>> 0;
    if ((difference & (difference - 1)) === 0) return known;
  }
  return undefined;
}

/** Every length that a block may have by one of its numbers, the stored one first. */
function lengths(letters: number, front: Uint8Array, columns: readonly Column[], chunkRows: number): Set<number> {
  const view = viewOf(front);
  const found = new Set<number>();
  const add = (length: number) => {
    if (length >= SEAL_BYTES + 8 && length % 8 === 0) found.add(length);
  };
  add(view.getUint32(4, true));
  const text = (at: number, behind: number) => {
    const bytes = view.getUint32(at, true);
    if (bytes <= TEXT_MOST) add(behind + padded(bytes) + SEAL_BYTES);
  };
  if (letters === HEAD) text(8, HEAD_FRONT);
  if (letters === ENDS) text(12, END_FRONT);
  if (letters === INDEX) add(indexBytes(Math.min(view.getUint32(8, true), INDEX_CHUNKS), columns.length));
  if (letters === CHUNK) {
    const rows = view.getUint32(12, true);
    if (rows <= ROWS_MOST) add(chunkLayout(columns, rows).length);
    add(chunkLayout(columns, chunkRows).length);
  }
  const most = Math.max(
    CHUNK_FRONT + chunkLayout(columns, chunkRows).length,
    indexBytes(INDEX_CHUNKS, columns.length),
    TEXT_MOST,
  );
  return new Set([...found].filter((length) => length <= most));
}
