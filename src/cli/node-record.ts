/**
 * Records all signals while a run goes on, so that what was recorded is kept whatever ends the run: by the ending of the
 * name as a recording (chunks with checksums, every tick unless asked otherwise) or as CSV (RFC 4180, dot decimal, a row of
 * names, a row of units, a row a millisecond unless asked otherwise; a reading that does not exist is an empty field).
 */
import { closeSync, openSync, writeSync } from 'node:fs';
import { SetUpError } from '../links/errors.ts';
import { type Column, columnsOf, type RunEnd, type RunHeader } from '../recorder/header.ts';
import { FileSink } from '../recorder/node-file.ts';
import { RecordingWriter } from '../recorder/writer.ts';
import { RECORD_RATE_HZ } from '../runner/record.ts';
import { SIGNALS } from '../signals.ts';
import { toDisplay } from '../units/convert.ts';

/** Ending of the name of a recording. */
export const RECORDING_ENDING = '.psrec';
/** Characters gathered before a write: one system call for some hundred rows. */
const CHUNK = 64 * 1024;

export interface Recorder {
  /** Called after each tick; takes those that the rate wants. */
  see(tick: number, sample: Float64Array): void;
  /** Writes what is left. Without an end the recording is told to have none. Never throws. */
  close(end?: RunEnd): void;
  /** What kept it from being written to its end, '' for nothing. */ readonly trouble: string;
}

export interface RecordOptions {
  readonly path: string;
  /** Rows a second as written, '1kHz', or 'full'. */ readonly rate?: string | undefined;
  /** Time of a tick [s]. */ readonly tick_s: number;
  readonly run: RunHeader;
  readonly absent?: Readonly<Partial<Record<string, string>>> | undefined;
}

/** Throws SetUpError when the rate cannot be had or the file cannot be made. */
export function recorderFor(options: RecordOptions): Recorder {
  const { path, rate, tick_s, run, absent } = options;
  const whole = path.endsWith(RECORDING_ENDING);
  const every =
    rate === undefined && !whole ? Math.max(1, Math.round(1 / (RECORD_RATE_HZ * tick_s))) : everyOf(rate, tick_s);
  try {
    return whole ? new RecordingFile(path, run, columnsOf(absent), tick_s, every) : new CsvFile(path, every);
  } catch (error) {
    throw new SetUpError(`cannot write the recording to ${path}: ${(error as Error).message}`);
  }
}

/** Reads a rate in rows a second. Throws SetUpError saying how it is written; what a run can give, only its tick tells. */
export function rateOf(text: string): number {
  const found = /^\s*(\d+(?:\.\d+)?)\s*(k?)Hz\s*$/.exec(text);
  const rate_Hz = found ? Number(found[1]) * (found[2] === 'k' ? 1000 : 1) : 0;
  if (rate_Hz > 0) return rate_Hz;
  throw new SetUpError(`--record-rate ${text}: allowed is 'full' or rows a second, such as 1kHz or '500 Hz'`);
}

/** Ticks from row to row. Throws SetUpError naming the nearest rates when it is no whole number. */
function everyOf(rate: string | undefined, tick_s: number): number {
  if (rate === undefined || rate === 'full') return 1;
  const exact = 1 / (rateOf(rate) * tick_s);
  const every = Math.round(exact);
  // A millionth is rounding of the tick, not a rate that does not fit.
  if (every >= 1 && Math.abs(exact - every) < 1e-6 * every) return every;
  const near = [...new Set([Math.max(1, Math.floor(exact)), Math.max(1, Math.ceil(exact))])];
  const nearest = near.map((each) => `${Number((1 / (each * tick_s)).toPrecision(6))} Hz`).join(' and ');
  throw new SetUpError(
    `--record-rate ${rate}: rows are every n-th tick of ${Number((1 / tick_s).toPrecision(6))} Hz; nearest: ${nearest}`,
  );
}

/** What both kinds share: a write that fails ends the recording, not the run. */
abstract class Kept implements Recorder {
  trouble = '';
  protected readonly every: number;

  constructor(every: number) {
    this.every = every;
  }

  see(tick: number, sample: Float64Array): void {
    if (this.trouble !== '' || tick % this.every !== 0) return;
    try {
      this.take(tick, sample);
    } catch (error) {
      this.trouble = `before tick ${tick}: ${(error as Error).message}`;
    }
  }

  close(end?: RunEnd): void {
    try {
      if (this.trouble === '') this.finish(end);
    } catch (error) {
      this.trouble = `at its end: ${(error as Error).message}`;
    }
    try {
      this.shut();
    } catch (error) {
      this.trouble ||= `at its end: ${(error as Error).message}`;
    }
  }

  protected abstract take(tick: number, sample: Float64Array): void;
  protected abstract finish(end: RunEnd | undefined): void;
  protected abstract shut(): void;
}

class RecordingFile extends Kept {
  private readonly file: FileSink;
  private readonly writer: RecordingWriter;

  constructor(path: string, run: RunHeader, columns: readonly Column[], tick_s: number, every: number) {
    super(every);
    const file = new FileSink(path);
    this.file = file;
    this.writer = new RecordingWriter((bytes) => file.write(bytes), run, { columns, tick_s, every });
  }

  protected take(tick: number, sample: Float64Array): void {
    this.writer.row(tick, sample);
  }

  protected finish(end: RunEnd | undefined): void {
    if (end) this.writer.end(end);
    else this.writer.flush();
  }

  protected shut(): void {
    this.file.close();
  }
}

class CsvFile extends Kept {
  private readonly handle: number;
  private pending = '';

  constructor(path: string, every: number) {
    super(every);
    this.handle = openSync(path, 'w');
    this.line(SIGNALS.map(({ id }) => id));
    this.line(SIGNALS.map(({ show }) => show));
  }

  /** Writes a sample in the units of the second row, nine digits. */
  protected take(_tick: number, sample: Float64Array): void {
    this.line(SIGNALS.map(({ show }, k) => (Number.isFinite(sample[k]) ? shown(toDisplay(sample[k], show)) : '')));
  }

  protected finish(): void {
    this.flush();
  }

  protected shut(): void {
    closeSync(this.handle);
  }

  private line(fields: readonly string[]): void {
    this.pending += `${fields.join(',')}\r\n`;
    if (this.pending.length > CHUNK) this.flush();
  }

  private flush(): void {
    writeSync(this.handle, this.pending);
    this.pending = '';
  }
}

function shown(value: number): string {
  return String(Number(value.toPrecision(9)));
}
