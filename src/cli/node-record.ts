/**
 * Writes all signals to a CSV file while the run goes on, so that what was recorded is kept whatever ends the run:
 * RFC 4180, dot decimal, a row of names, a row of units, then one row a millisecond of virtual time. A reading that
 * does not exist is an empty field.
 */
import { closeSync, openSync, writeSync } from 'node:fs';
import { SetUpError } from '../links/errors.ts';
import { SIGNALS } from '../signals.ts';
import { toDisplay } from '../units/convert.ts';

/** Characters gathered before a write: one system call for some hundred rows. */
const CHUNK = 64 * 1024;

export class CsvFile {
  private readonly handle: number;
  private pending = '';

  /** Throws SetUpError when the file cannot be made. */
  constructor(path: string) {
    try {
      this.handle = openSync(path, 'w');
    } catch (error) {
      throw new SetUpError(`cannot write the recording to ${path}: ${(error as Error).message}`);
    }
    this.line(SIGNALS.map(({ id }) => id));
    this.line(SIGNALS.map(({ show }) => show));
  }

  /** Takes a sample in SI and writes it in the units of the second row, nine digits. */
  row(sample: Float64Array): void {
    this.line(SIGNALS.map(({ show }, k) => (Number.isFinite(sample[k]) ? shown(toDisplay(sample[k], show)) : '')));
  }

  close(): void {
    this.flush();
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
