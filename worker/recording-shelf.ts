/** Recordings that are kept, on the disk of the page or in memory, and the files to hand out that are made of them. */

import type { Place } from './recording-api.ts';
import { DiskSink, MEMORY_MOST_B, MemorySink, type Sink } from './recording-sinks.ts';
import { RECORDING_WORDS as WORDS } from './recording-words.ts';

const FOLDER = 'recordings';
/** Files made to be handed out; the browser reads from them while it saves. */
const OUT_FOLDER = 'handed-out';
/** Older than this they have been saved [ms]. */
const OUT_KEPT_MS = 15 * 60_000;
export const ENDING = '.psrec';

/** Something with a name that is being written. */
export interface Opened {
  readonly sink: Sink;
  /** What was written, once the sink is closed. */ blob(): Promise<Blob>;
  /** Takes it away, closed or not. Never rejects. */ drop(): Promise<void>;
}

export interface Shelf {
  readonly place: Place;
  names(): Promise<readonly string[]>;
  /** Undefined when it is not there. */ blob(name: string): Promise<Blob | undefined>;
  /** Makes one. */ make(name: string): Promise<Opened>;
  /** Makes a file to hand out. */ makeOut(name: string): Promise<Opened>;
  remove(name: string): Promise<void>;
}

/** The disk where there is one that can be written, else memory. */
export async function findShelf(): Promise<Shelf> {
  try {
    const root = await navigator.storage.getDirectory();
    const folder = await root.getDirectoryHandle(FOLDER, { create: true });
    if (!('createSyncAccessHandle' in FileSystemFileHandle.prototype)) return new MemoryShelf();
    const shelf = new DiskShelf(folder, await root.getDirectoryHandle(OUT_FOLDER, { create: true }));
    await shelf.sweep();
    return shelf;
  } catch {
    return new MemoryShelf(); // forbidden, as in some private windows, or not there at all
  }
}

class DiskShelf implements Shelf {
  readonly place: Place = { kind: 'disk', why: '', most_B: Number.POSITIVE_INFINITY };
  private readonly folder: FileSystemDirectoryHandle;
  private readonly out: FileSystemDirectoryHandle;

  constructor(folder: FileSystemDirectoryHandle, out: FileSystemDirectoryHandle) {
    this.folder = folder;
    this.out = out;
  }

  async names(): Promise<readonly string[]> {
    const found: string[] = [];
    for await (const name of this.folder.keys()) if (name.endsWith(ENDING)) found.push(name);
    return found;
  }

  async blob(name: string): Promise<Blob | undefined> {
    const handle = await this.folder.getFileHandle(name).catch(() => undefined);
    return handle?.getFile();
  }

  make(name: string): Promise<Opened> {
    return opened(this.folder, name);
  }

  async makeOut(name: string): Promise<Opened> {
    await this.sweep();
    return opened(this.out, `${Date.now().toString(36)} ${name}`);
  }

  remove(name: string): Promise<void> {
    return this.folder.removeEntry(name);
  }

  /** Takes away what was handed out long ago. */
  async sweep(): Promise<void> {
    for await (const [name, handle] of this.out.entries()) {
      if (handle.kind !== 'file') continue;
      const file = await (handle as FileSystemFileHandle).getFile().catch(() => undefined);
      if (file && Date.now() - file.lastModified > OUT_KEPT_MS) await this.out.removeEntry(name).catch(() => {}); // next time then
    }
  }
}

async function opened(folder: FileSystemDirectoryHandle, name: string): Promise<Opened> {
  const handle = await folder.getFileHandle(name, { create: true });
  const sink = new DiskSink(await handle.createSyncAccessHandle());
  const drop = async (): Promise<void> => {
    try {
      sink.close();
    } catch {
      // closed before, or broken: it goes away in any case
    }
    await folder.removeEntry(name).catch(() => {}); // the next sweep tries again
  };
  return { sink, blob: () => handle.getFile(), drop };
}

class MemoryShelf implements Shelf {
  readonly place: Place = { kind: 'memory', why: WORDS.noStore, most_B: MEMORY_MOST_B };
  private readonly held = new Map<string, MemorySink>();

  async names(): Promise<readonly string[]> {
    return [...this.held.keys()];
  }

  async blob(name: string): Promise<Blob | undefined> {
    return this.held.get(name)?.blob();
  }

  async make(name: string): Promise<Opened> {
    const used = [...this.held.values()].reduce((sum, { size }) => sum + size, 0);
    const sink = new MemorySink(Math.max(0, MEMORY_MOST_B - used));
    this.held.set(name, sink);
    return { sink, blob: async () => sink.blob(), drop: () => this.remove(name) };
  }

  async makeOut(): Promise<Opened> {
    const sink = new MemorySink();
    return { sink, blob: async () => sink.blob(), drop: async () => {} };
  }

  async remove(name: string): Promise<void> {
    this.held.delete(name);
  }
}
