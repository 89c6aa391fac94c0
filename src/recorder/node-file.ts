/** Recordings in files of this machine. */
import { closeSync, fstatSync, openSync, readSync, writeSync } from 'node:fs';
import type { ByteSource } from './blocks.ts';

/** A file that is read in parts. Throws what the system says when it cannot be opened. */
export class FileSource implements ByteSource {
  readonly size: number;
  private readonly handle: number;

  constructor(path: string) {
    this.handle = openSync(path, 'r');
    const stat = fstatSync(this.handle);
    if (!stat.isFile()) {
      closeSync(this.handle);
      throw new Error('is no file');
    }
    this.size = stat.size;
  }

  read(at: number, length: number): Uint8Array {
    const bytes = new Uint8Array(Math.max(0, Math.min(length, this.size - at)));
    let done = 0;
    while (done < bytes.length) {
      const count = readSync(this.handle, bytes, done, bytes.length - done, at + done);
      if (count === 0) return bytes.slice(0, done); // shortened while it is read
      done += count;
    }
    return bytes;
  }

  close(): void {
    closeSync(this.handle);
  }
}

/** A file that is written from its beginning. Every call that throws says why by the system's words. */
export class FileSink {
  /** Bytes written so far. */ size = 0;
  private readonly handle: number;

  constructor(path: string) {
    this.handle = openSync(path, 'w');
  }

  write(bytes: Uint8Array): void {
    let done = 0;
    while (done < bytes.length) done += writeSync(this.handle, bytes, done, bytes.length - done);
    this.size += bytes.length;
  }

  /** Puts bytes in the place of some that are written. */
  patch(at: number, bytes: Uint8Array): void {
    let done = 0;
    while (done < bytes.length) done += writeSync(this.handle, bytes, done, bytes.length - done, at + done);
  }

  close(): void {
    closeSync(this.handle);
  }
}
