/** Keeps recordings: the program of the recorder worker. A lock for each that is made tells other tabs whose it is. */
import { columnsOf } from '../src/recorder/header.ts';
import { CHUNK_ROWS, chunkLayout } from '../src/recorder/layout.ts';
import { openRecording } from '../src/recorder/reader.ts';
import { holdLock } from './hold-lock.ts';
import type { Given, GivenKind, KeptRecording, RecordingStands, StoreApi } from './recording-api.ts';
import { blobSource, writeOut } from './recording-exports.ts';
import { rowOf } from './recording-row.ts';
import { ENDING, findShelf, type Opened, type Shelf } from './recording-shelf.ts';
import { Take } from './recording-take.ts';
import { RECORDING_WORDS as WORDS } from './recording-words.ts';

const LOCK = 'phantom-spindle recording ';
/** Who asks for the end waits no longer for the drill [ms]. */
const PATIENCE_MS = 5000;

type Facade = {
  readonly [K in keyof StoreApi]: (...given: Parameters<StoreApi[K]>) => ReturnType<StoreApi[K]>;
};

export class RecordingService {
  private readonly shelf: Promise<Shelf> = findShelf();
  private take: Take | undefined;
  /** Rows of the list by name, as long as the file is the same. */
  private readonly rows = new Map<string, KeptRecording>();

  /** The frozen set of functions that the page may call. */
  facade(): Facade {
    return Object.freeze<Facade>({
      place: async () => (await this.shelf).place,
      rowBytes: (signals) => {
        const columns = columnsOf().filter(({ id }) => (signals as readonly string[]).includes(id));
        return chunkLayout(columns, CHUNK_ROWS).length / CHUNK_ROWS;
      },
      begin: (drill, port) => this.begin(drill, port),
      stands: () => this.take?.stands,
      closed: () => this.closed(),
      list: () => this.list(),
      give: (name, kind) => this.give(name, kind),
      remove: (name) => this.remove(name),
    });
  }

  private async begin(drill: string, port: MessagePort): Promise<string> {
    if (this.take?.stands.running) return WORDS.running;
    try {
      const shelf = await this.shelf;
      const name = await freeName(shelf, drill);
      const letGo = await holdLock(LOCK + name);
      if (!letGo) return WORDS.heldElsewhere(name);
      let opened: Opened;
      try {
        opened = await shelf.make(name);
      } catch (error) {
        letGo();
        throw error;
      }
      const take = new Take(name, opened.sink, port);
      this.take = take;
      void take.closed
        .then(() => (take.blank ? shelf.remove(name) : undefined))
        .catch(() => {}) // an empty one is left, and says that it is empty
        .then(letGo);
      return '';
    } catch (error) {
      return WORDS.notMade((error as Error).message);
    }
  }

  private async closed(): Promise<RecordingStands | undefined> {
    const { take } = this;
    if (!take) return undefined;
    const late = setTimeout(() => take.abandon(WORDS.noEnd), PATIENCE_MS);
    await take.closed;
    clearTimeout(late);
    return take.stands;
  }

  private async list(): Promise<readonly KeptRecording[]> {
    const shelf = await this.shelf;
    const held = await heldNames();
    const rows = await Promise.all(
      (await shelf.names()).map(async (name): Promise<KeptRecording[]> => {
        const blob = await shelf.blob(name).catch(() => undefined);
        if (!blob) return []; // deleted meanwhile
        const busy = this.isMine(name) ? 'here' : held.has(name) ? 'elsewhere' : '';
        const key = `${name} ${blob.size}`;
        const known = this.rows.get(key);
        if (known && busy === '') return [known];
        const row = await rowOf(name, shelf.place.kind, blob, busy);
        if (busy === '') this.rows.set(key, row);
        return [row];
      }),
    );
    return rows.flat().sort((one, other) => (one.name < other.name ? 1 : -1)); // newest first: a name begins with its moment
  }

  private async give(name: string, kind: GivenKind): Promise<Given> {
    const shelf = await this.shelf;
    const refused = await this.refusal(name);
    if (refused !== '') return { ok: false, why: refused };
    const blob = await shelf.blob(name);
    if (!blob) return { ok: false, why: WORDS.gone(name) };
    if (kind === 'psrec') return { ok: true, file: blob, name, damages: [] };
    let opened: Opened | undefined;
    try {
      const recording = await openRecording(blobSource(blob));
      const as = `${name.slice(0, -ENDING.length)}.${kind}`;
      opened = await shelf.makeOut(as);
      const damages = await writeOut(recording, kind, opened.sink);
      opened.sink.close();
      return { ok: true, file: await opened.blob(), name: as, damages };
    } catch (error) {
      await opened?.drop(); // half a file helps nobody and takes room
      return { ok: false, why: WORDS.noExport(name, (error as Error).message) };
    }
  }

  private async remove(name: string): Promise<string> {
    const refused = await this.refusal(name);
    if (refused !== '') return refused;
    try {
      await (await this.shelf).remove(name);
      return '';
    } catch (error) {
      const { name: kind, message } = error as Error;
      if (kind === 'NotFoundError') return WORDS.gone(name);
      if (kind === 'NoModificationAllowedError') return WORDS.heldElsewhere(name);
      return WORDS.notRemoved(name, message);
    }
  }

  /** Why nothing is done with a recording, '' when it is closed. */
  private async refusal(name: string): Promise<string> {
    if (this.isMine(name)) return WORDS.heldHere(name);
    return (await heldNames()).has(name) ? WORDS.heldElsewhere(name) : '';
  }

  private isMine(name: string): boolean {
    const { running, name: mine } = this.take?.stands ?? {};
    return running === true && mine === name;
  }
}

/** Moment and drill, and a number where two begin in the same second. */
async function freeName(shelf: Shelf, drill: string): Promise<string> {
  const stem = `${new Date().toISOString().slice(0, 19).replaceAll(':', '-')} ${drill}`;
  const taken = await shelf.names();
  for (let k = 1; ; k++) {
    const name = `${stem}${k === 1 ? '' : ` ${k}`}${ENDING}`;
    if (!taken.includes(name)) return name;
  }
}

async function heldNames(): Promise<ReadonlySet<string>> {
  const held = (await navigator.locks?.query())?.held ?? [];
  const names = held.flatMap(({ name }) => (name?.startsWith(LOCK) ? [name.slice(LOCK.length)] : []));
  return new Set(names);
}
