/**
 * Writes a recording as it goes: rows are gathered in columns, and each full chunk leaves at once, sealed by its checksum.
 * Memory is one chunk and one index, whatever the length of the run; taking a row allocates nothing. Knows no file: a sink
 * takes the bytes.
 */
import { SIGNAL_INDEX, type SignalId } from '../signals.ts';
import { crc32 } from './crc32.ts';
import { type Column, FORMAT_NAME, FORMAT_VERSION, type Header, type RunEnd, type RunHeader } from './header.ts';
import {
  CHUNK,
  CHUNK_ROWS,
  type ChunkLayout,
  chunkLayout,
  END_FRONT,
  ENDS,
  ENTRY_FRONT,
  entryBytes,
  HEAD,
  HEAD_FRONT,
  INDEX,
  INDEX_CHUNKS,
  INDEX_FRONT,
  indexBytes,
  MAGIC,
  needLittleEndian,
  PREAMBLE_BYTES,
  padded,
  ROWS_MOST,
  SEAL_BYTES,
  widthOf,
} from './layout.ts';

/** Takes bytes that are valid during the call only. */
export type Sink = (bytes: Uint8Array) => void;

export interface WriterOptions {
  readonly columns: readonly Column[];
  /** Time of a tick [s]. */ readonly tick_s: number;
  /** Ticks from one row to the next; 1 is every tick. */ readonly every: number;
  /** Rows of a full chunk; a crash loses no more. */ readonly chunkRows?: number;
}

const TICKS_MOST = 2 ** 32 - 1;

export class RecordingWriter {
  /** Rows taken so far. */
  rows = 0;
  private readonly sink: Sink;
  private readonly columns: readonly Column[];
  private readonly from: Int32Array;
  private readonly every: number;
  private readonly chunkRows: number;
  private readonly layout: ChunkLayout;
  private readonly bytes: Uint8Array;
  private readonly view: DataView;
  private readonly ticks: Uint32Array;
  private readonly store: (Float32Array | Float64Array)[];
  private readonly index: Uint8Array;
  private readonly indexView: DataView;
  private indexed = 0;
  private lastIndexAt = -1;
  private at = 0;
  private chunks = 0;
  private held = 0;
  private firstTick = 0;
  private lastTick = -1;

  /** Writes the header at once. Throws RangeError naming what is out of range; the sink may throw what it likes. */
  constructor(sink: Sink, run: RunHeader, { columns, tick_s, every, chunkRows = CHUNK_ROWS }: WriterOptions) {
    needLittleEndian();
    if (!Number.isInteger(chunkRows) || chunkRows < 1 || chunkRows > ROWS_MOST) {
      throw new RangeError(`rows of a chunk: ${chunkRows}; allowed are 1 to ${ROWS_MOST}`);
    }
    if (!Number.isInteger(every) || every < 1) throw new RangeError(`every ${every}th tick; allowed is 1 or more`);
    for (const { id } of columns) {
      if (!Object.hasOwn(SIGNAL_INDEX, id) || id === 'time') throw new RangeError(`no signal '${id}' to record`);
    }
    this.sink = sink;
    this.columns = columns;
    this.from = Int32Array.from(columns, ({ id }) => SIGNAL_INDEX[id as SignalId]);
    this.every = every;
    this.chunkRows = chunkRows;
    this.layout = chunkLayout(columns, chunkRows);
    const buffer = new ArrayBuffer(this.layout.length);
    this.bytes = new Uint8Array(buffer);
    this.view = new DataView(buffer);
    this.ticks = new Uint32Array(buffer, this.layout.ticksAt, chunkRows);
    this.store = columns.map(({ storage }, k) =>
      storage === 'float64'
        ? new Float64Array(buffer, this.layout.columnsAt[k], chunkRows)
        : new Float32Array(buffer, this.layout.columnsAt[k], chunkRows),
    );
    this.index = new Uint8Array(indexBytes(INDEX_CHUNKS, columns.length));
    this.indexView = new DataView(this.index.buffer);
    const header: Header = { format: FORMAT_NAME, version: FORMAT_VERSION, ...run, tick_s, every, chunkRows, columns };
    this.put(preamble());
    this.put(textBlock(HEAD, HEAD_FRONT, JSON.stringify(header), 8));
  }

  /** Takes the sample of every `every`th tick, counted from the start of the run. */
  see(tick: number, sample: Float64Array): void {
    if (tick % this.every === 0) this.row(tick, sample);
  }

  /**
   * Takes a row. Throws RangeError when its tick is not after the last one; what the sink throws comes through.
   *
   * @param sample every signal, SI, by SIGNAL_INDEX
   */
  row(tick: number, sample: Float64Array): void {
    if (!(tick > this.lastTick)) throw new RangeError(`tick ${tick} is not after tick ${this.lastTick}`);
    if (this.held === this.chunkRows || (this.held > 0 && tick - this.firstTick > TICKS_MOST)) this.flush();
    const { held, store, from } = this;
    if (held === 0) this.firstTick = tick;
    this.ticks[held] = tick - this.firstTick;
    for (let k = 0; k < store.length; k++) store[k][held] = sample[from[k]];
    this.lastTick = tick;
    this.held = held + 1;
    this.rows++;
    if (this.held === this.chunkRows) this.flush();
  }

  /** Lets the rows held leave as a chunk, full or not; a burst that is over need not wait for the next one. */
  flush(): void {
    const { held, columns, bytes, view, index, indexView } = this;
    if (held === 0) return;
    const layout = held === this.chunkRows ? this.layout : chunkLayout(columns, held);
    const entryAt = INDEX_FRONT + this.indexed * entryBytes(columns.length);
    const extremesAt = entryAt + ENTRY_FRONT;
    for (let k = 0; k < columns.length; k++) putExtremes(this.store[k], held, indexView, extremesAt + 16 * k);
    this.closeUp(layout);
    bytes.set(index.subarray(extremesAt, extremesAt + 16 * columns.length), layout.extremesAt);
    view.setUint32(8, this.chunks, true);
    view.setUint32(12, held, true);
    view.setFloat64(16, this.firstTick, true);
    indexView.setFloat64(entryAt, this.at, true);
    indexView.setFloat64(entryAt + 8, this.firstTick, true);
    indexView.setFloat64(entryAt + 16, this.lastTick, true);
    indexView.setUint32(entryAt + 24, held, true);
    indexView.setUint32(entryAt + 28, seal(bytes, view, CHUNK, layout.length), true);
    this.held = 0;
    this.put(bytes.subarray(0, layout.length));
    this.chunks++;
    this.indexed++;
    if (this.indexed === INDEX_CHUNKS) this.putIndex();
  }

  /** Writes what is held, the index and the end. Nothing may follow. */
  end(run: RunEnd): void {
    this.flush();
    if (this.indexed > 0) this.putIndex();
    const block = textBlock(ENDS, END_FRONT, JSON.stringify(run), 12);
    const view = new DataView(block.buffer);
    view.setUint32(8, this.chunks, true);
    view.setFloat64(16, this.lastIndexAt, true);
    view.setFloat64(24, this.rows, true);
    seal(block, view, ENDS, block.length);
    this.put(block);
  }

  /** Draws the columns together to the rows held; what lies between them is zero, so that equal runs give equal bytes. */
  private closeUp(layout: ChunkLayout): void {
    const { bytes, held, columns } = this;
    bytes.fill(0, layout.ticksAt + 4 * held, layout.columnsAt[0] ?? layout.extremesAt);
    for (let k = 0; k < columns.length; k++) {
      const from = this.layout.columnsAt[k];
      const to = layout.columnsAt[k];
      const length = held * widthOf(columns[k]);
      if (from !== to) bytes.copyWithin(to, from, from + length);
      bytes.fill(0, to + length, layout.columnsAt[k + 1] ?? layout.extremesAt);
    }
  }

  private putIndex(): void {
    const { index, indexView, columns } = this;
    const length = indexBytes(this.indexed, columns.length);
    indexView.setUint32(8, this.indexed, true);
    indexView.setUint32(12, columns.length, true);
    indexView.setFloat64(16, this.lastIndexAt, true);
    seal(index, indexView, INDEX, length);
    this.lastIndexAt = this.at;
    this.put(index.subarray(0, length));
    this.indexed = 0;
  }

  private put(bytes: Uint8Array): void {
    this.sink(bytes);
    this.at += bytes.length;
  }
}

/** Smallest and largest of the first rows; NaN where none is a number. */
function putExtremes(values: Float32Array | Float64Array, rows: number, view: DataView, at: number): void {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < rows; k++) {
    const value = values[k];
    if (value < least) least = value;
    if (value > most) most = value;
  }
  const any = least <= most;
  view.setFloat64(at, any ? least : Number.NaN, true);
  view.setFloat64(at + 8, any ? most : Number.NaN, true);
}

/** Puts letters, length and checksum; returns the checksum. */
function seal(bytes: Uint8Array, view: DataView, letters: number, length: number): number {
  view.setUint32(0, letters, true);
  view.setUint32(4, length, true);
  view.setUint32(length - SEAL_BYTES, length, true);
  const sum = crc32(bytes, 0, length - 4);
  view.setUint32(length - 4, sum, true);
  return sum;
}

function preamble(): Uint8Array {
  const bytes = new Uint8Array(PREAMBLE_BYTES);
  const view = new DataView(bytes.buffer);
  bytes.set(MAGIC);
  view.setUint32(8, FORMAT_VERSION, true);
  view.setUint32(12, crc32(bytes, 0, 12), true);
  return bytes;
}

/** A block that carries a text behind its front; sealed. */
function textBlock(letters: number, front: number, text: string, lengthAt: number): Uint8Array {
  const encoded = new TextEncoder().encode(text);
  const bytes = new Uint8Array(front + padded(encoded.length) + SEAL_BYTES);
  const view = new DataView(bytes.buffer);
  bytes.set(encoded, front);
  view.setUint32(lengthAt, encoded.length, true);
  seal(bytes, view, letters, bytes.length);
  return bytes;
}
