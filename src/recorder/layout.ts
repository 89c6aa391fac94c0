/**
 * Where everything lies in a recording. All numbers are little-endian, every block begins at a multiple of eight.
 *
 *   preamble   eight bytes that no text file begins with, version u32, checksum u32 of these twelve bytes
 *   HEAD       header as JSON
 *   CHNK ...   rows, column after column
 *   INDX ...   after every 64 chunks and at the end: where chunks lie, with smallest and largest value a column
 *   ENDS       what only the end knows, as JSON, and where the last INDX lies
 *
 * A block:    0 four letters, 4 its length u32, 8 as below, at its end the length again u32 and the checksum u32 of all
 *             before it. The length at the end lets a reader begin with the last eight bytes of the file.
 * HEAD:       8 bytes of text u32, 12 zero, 16 text as UTF-8
 * CHNK:       8 number u32, 12 rows u32, 16 first tick f64, 24 ticks since the first u32 a row, then the columns of the
 *             header as f32 or f64, then smallest and largest f64 a column (NaN where a column has no reading)
 * INDX:       8 chunks u32, 12 columns u32, 16 where the INDX before it lies f64 (-1 for none), 24 an entry a chunk: where
 *             f64, first tick f64, last tick f64, rows u32, checksum u32, then smallest and largest f64 a column
 * ENDS:       8 chunks u32, 12 bytes of text u32, 16 where the last INDX lies f64 (-1 for none), 24 rows f64, 32 text
 */
import type { Column } from './header.ts';

export const MAGIC = Uint8Array.of(0x8a, 0x50, 0x53, 0x52, 0x0d, 0x0a, 0x1a, 0x0a);
export const PREAMBLE_BYTES = 16;
/** Length and checksum behind every block. */
export const SEAL_BYTES = 8;
/** What is read of a block before its length is believed. */
export const FRONT_BYTES = 32;
export const CHUNK_FRONT = 24;
export const INDEX_FRONT = 24;
export const ENTRY_FRONT = 32;
export const END_FRONT = 32;
export const HEAD_FRONT = 16;
/** Chunks of an INDX: a writer keeps no more of them in memory. */
export const INDEX_CHUNKS = 64;
/** Rows of a full chunk unless said otherwise: at 20 kHz a crash costs 51 ms. */
export const CHUNK_ROWS = 1024;
/** Longest text of HEAD and ENDS; the header of this bench has some 12 000 bytes. */
export const TEXT_MOST = 4 * 1024 * 1024;
export const ROWS_MOST = 1 << 20;

const letters = (text: string): number => [...text].reduce((sum, c, k) => sum + c.charCodeAt(0) * 2 ** (8 * k), 0);
export const HEAD = letters('HEAD');
export const CHUNK = letters('CHNK');
export const INDEX = letters('INDX');
export const ENDS = letters('ENDS');

export interface ChunkLayout {
  readonly ticksAt: number;
  /** Where each column begins. */ readonly columnsAt: readonly number[];
  readonly extremesAt: number;
  readonly length: number;
}

export const padded = (bytes: number): number => (bytes + 7) & ~7;

export const widthOf = ({ storage }: Column): number => (storage === 'float64' ? 8 : 4);

export function chunkLayout(columns: readonly Column[], rows: number): ChunkLayout {
  let at = CHUNK_FRONT + padded(4 * rows);
  const columnsAt = columns.map((column) => {
    const here = at;
    at += padded(rows * widthOf(column));
    return here;
  });
  return { ticksAt: CHUNK_FRONT, columnsAt, extremesAt: at, length: at + 16 * columns.length + SEAL_BYTES };
}

export const entryBytes = (columns: number): number => ENTRY_FRONT + 16 * columns;
export const indexBytes = (chunks: number, columns: number): number =>
  INDEX_FRONT + chunks * entryBytes(columns) + SEAL_BYTES;

/** Throws RangeError on a machine whose typed arrays are big-endian: columns are stored as they lie in memory. */
export function needLittleEndian(): void {
  if (new Uint8Array(Uint16Array.of(1).buffer)[0] !== 1)
    throw new RangeError('recordings need a little-endian machine');
}
