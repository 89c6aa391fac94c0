/** Where the bytes of a recording go: a file of the page's own file system, or memory where there is none. */
import { RECORDING_WORDS as WORDS } from './recording-words.ts';

/** What a recording in memory may grow to [bytes]. */
export const MEMORY_MOST_B = 256 * 1024 * 1024;

/** Every call that throws has kept what was written before it. */
export interface Sink {
  /** Bytes that are written whole. */ readonly size: number;
  write(bytes: Uint8Array): void;
  /** Puts bytes in the place of some that are written. */
  patch(at: number, bytes: Uint8Array): void;
  /** What is written outlives a crash from here on. */
  flush(): void;
  /** Cuts off what was not written whole, and lets go. */
  close(): void;
}

/** Bytes do not fit any more; the message says what to do. */
export class NoRoom extends Error {}

const asRoom = (error: unknown): unknown =>
  (error as Error)?.name === 'QuotaExceededError' ? new NoRoom(WORDS.full) : error;

/** A file behind an access handle, which nobody else can open for writing meanwhile. */
export class DiskSink implements Sink {
  size = 0;
  private flushed = 0;
  private readonly handle: FileSystemSyncAccessHandle;

  constructor(handle: FileSystemSyncAccessHandle) {
    this.handle = handle;
    handle.truncate(0);
  }

  write(bytes: Uint8Array): void {
    this.put(this.size, bytes);
    this.size += bytes.length;
  }

  patch(at: number, bytes: Uint8Array): void {
    this.put(at, bytes);
  }

  flush(): void {
    if (this.flushed === this.size) return;
    this.handle.flush();
    this.flushed = this.size;
  }

  close(): void {
    try {
      this.handle.truncate(this.size);
      this.handle.flush();
    } finally {
      this.handle.close();
    }
  }

  private put(at: number, bytes: Uint8Array): void {
    try {
      // A disk that fills up may take a part only; the next write goes over it.
      const done = this.handle.write(bytes as Uint8Array<ArrayBuffer>, { at });
      if (done < bytes.length) throw new NoRoom(WORDS.full);
    } catch (error) {
      throw asRoom(error);
    }
  }
}

/** Gathered in memory; gone with the tab. */
export class MemorySink implements Sink {
  size = 0;
  private readonly most_B: number;
  private readonly parts: Uint8Array<ArrayBuffer>[] = [];

  constructor(most_B = MEMORY_MOST_B) {
    this.most_B = most_B;
  }

  write(bytes: Uint8Array): void {
    if (this.size + bytes.length > this.most_B)
      throw new NoRoom(WORDS.memoryFull(`${Math.round(this.most_B / 2 ** 20)} MiB`));
    this.parts.push(bytes.slice() as Uint8Array<ArrayBuffer>);
    this.size += bytes.length;
  }

  patch(at: number, bytes: Uint8Array): void {
    let before = 0;
    for (const part of this.parts) {
      for (let k = Math.max(at, before); k < Math.min(at + bytes.length, before + part.length); k++)
        part[k - before] = bytes[k - at];
      before += part.length;
    }
  }

  flush(): void {}

  close(): void {}

  /** All of it; grows no more. */
  blob(): Blob {
    return new Blob(this.parts);
  }
}
