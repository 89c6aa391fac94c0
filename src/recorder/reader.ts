/**
 * Opens a recording: by its index when it was ended, else block by block, so that a file that ends early or is damaged
 * gives all that is still whole, and says what is not. Chunks are read one at a time; nothing is repaired silently.
 */
import { type Block, type ByteSource, blockAt, type Damage, damageOf, RecordingError, viewOf } from './blocks.ts';
import { type ChunkEntry, chunkText, endOf, extremesOf, textOf } from './chunk.ts';
import type { Column, Header, RunEnd } from './header.ts';
import {
  CHUNK,
  chunkLayout,
  ENDS,
  ENTRY_FRONT,
  entryBytes,
  HEAD,
  HEAD_FRONT,
  INDEX,
  INDEX_FRONT,
  needLittleEndian,
  PREAMBLE_BYTES,
  SEAL_BYTES,
} from './layout.ts';
import { checkPreamble } from './preamble.ts';
import { headerOf } from './read-header.ts';
import { scan } from './scan.ts';

export interface Chunk {
  readonly rows: number;
  readonly firstTick: number;
  /** Ticks since the first. */ readonly ticks: Uint32Array;
  readonly columns: readonly (Float32Array | Float64Array)[];
}

export interface Recording {
  readonly source: ByteSource;
  readonly header: Header;
  readonly chunks: readonly ChunkEntry[];
  readonly rows: number;
  /** undefined when the recording was not ended, or its end is damaged. */ readonly end: RunEnd | undefined;
  /** What was found missing or damaged so far; chunks that an index leads to are checked when they are read. */
  readonly damages: readonly Damage[];
}

/** Throws RecordingError when there is no header that can be read: a foreign, newer, empty or damaged file. */
export async function openRecording(source: ByteSource): Promise<Recording> {
  needLittleEndian();
  await checkPreamble(source);
  const head = await blockAt(source, PREAMBLE_BYTES, [], 0);
  if (head?.letters !== HEAD) {
    throw new RecordingError(`ends after ${source.size} bytes, within its header; nothing of it can be read`);
  }
  if (head.damage) throw new RecordingError({ ...head.damage, text: `is damaged in its header: ${head.damage.why}` });
  const header = headerOf(textOf(head, HEAD_FRONT, 8));
  const from = head.at + head.bytes.length;
  const found = (await byIndex(source, header, from)) ?? (await scan(source, header, from));
  const rows = found.chunks.reduce((sum, chunk) => sum + chunk.rows, 0);
  return { source, header, rows, ...found };
}

/** Reads a chunk. Throws RecordingError naming chunk, time and byte when it is not as it was written. */
export async function readChunk({ source, header }: Recording, entry: ChunkEntry): Promise<Chunk> {
  const { at, length, rows, firstTick } = entry;
  const bytes = await source.read(at, length);
  const fail = (why: string, place: Omit<Damage, 'text'> = {}): never => {
    throw new RecordingError({ ...place, text: `${chunkText(entry, header.tick_s)}: ${why}` });
  };
  if (bytes.length < length) fail(`the file ends within it, after ${at + bytes.length} bytes`);
  const damage = damageOf(bytes, at);
  if (damage) fail(damage.why, damage);
  const view = viewOf(bytes);
  if (view.getUint32(0, true) !== CHUNK || view.getUint32(length - 4, true) !== entry.checksum) {
    fail('what lies there is not what the index tells');
  }
  const layout = chunkLayout(header.columns, rows);
  // Views need their alignment; a source that gives a part of a larger buffer may miss it.
  const { buffer, byteOffset } = bytes.byteOffset % 8 === 0 ? bytes : bytes.slice();
  return {
    rows,
    firstTick,
    ticks: new Uint32Array(buffer, byteOffset + layout.ticksAt, rows),
    columns: header.columns.map(({ storage }, k) =>
      storage === 'float64'
        ? new Float64Array(buffer, byteOffset + layout.columnsAt[k], rows)
        : new Float32Array(buffer, byteOffset + layout.columnsAt[k], rows),
    ),
  };
}

/** Reads every chunk and returns all that is missing or damaged; empty when the recording is whole. */
export async function verify(recording: Recording): Promise<Damage[]> {
  const found = [...recording.damages];
  for (const entry of recording.chunks) {
    try {
      await readChunk(recording, entry);
    } catch (error) {
      if (!(error instanceof RecordingError)) throw error;
      found.push(error.damage);
    }
  }
  return found;
}

/** The whole recording by its index, or undefined when there is none or it does not lead through. */
async function byIndex(
  source: ByteSource,
  { columns, chunkRows }: Header,
  from: number,
): Promise<Pick<Recording, 'chunks' | 'end' | 'damages'> | undefined> {
  const tail = await source.read(Math.max(0, source.size - SEAL_BYTES), SEAL_BYTES);
  if (tail.length < SEAL_BYTES) return undefined;
  const at = source.size - viewOf(tail).getUint32(0, true);
  if (at < from || at % 8 !== 0) return undefined;
  const block = await blockAt(source, at, columns, chunkRows);
  if (block?.letters !== ENDS || block.damage || at + block.bytes.length !== source.size) return undefined;
  const pages: ChunkEntry[][] = [];
  let next = block.view.getFloat64(16, true);
  let below = at;
  while (next >= 0) {
    if (!(next >= from && next < below)) return undefined;
    const page = await blockAt(source, next, columns, chunkRows);
    if (page?.letters !== INDEX || page.damage || page.view.getUint32(12, true) !== columns.length) return undefined;
    pages.push(entriesOf(page, columns));
    below = next;
    next = page.view.getFloat64(16, true);
  }
  const chunks = pages
    .reverse()
    .flat()
    .map((entry, number) => ({ ...entry, number }));
  if (chunks.length !== block.view.getUint32(8, true)) return undefined;
  return { chunks, end: endOf(block), damages: [] };
}

function entriesOf({ view }: Block, columns: readonly Column[]): ChunkEntry[] {
  return Array.from({ length: view.getUint32(8, true) }, (_, k) => {
    const at = INDEX_FRONT + k * entryBytes(columns.length);
    const rows = view.getUint32(at + 24, true);
    return {
      number: k,
      at: view.getFloat64(at, true),
      length: chunkLayout(columns, rows).length,
      rows,
      firstTick: view.getFloat64(at + 8, true),
      lastTick: view.getFloat64(at + 16, true),
      checksum: view.getUint32(at + 28, true),
      ...extremesOf(view, at + ENTRY_FRONT, columns.length),
    };
  });
}
