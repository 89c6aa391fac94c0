/**
 * The recordings of a session: starts and ends them, lists them, hands them out. Lives as long as the session, whether the sheet
 * is open or not. Samples never come by here: a port leads from the drill worker to the recorder worker.
 */
import { type Remote, releaseProxy, transfer, wrap } from 'comlink';
import type { GivenKind, KeptRecording, Place, RecordAsk, RecordingStands, StoreApi } from '../../worker/api.ts';
import { saveBlob } from '../runs-view/save.ts';
import type { Session } from '../session/session.ts';
import { length } from './amounts.ts';
import { RECORDING_WORDS as WORDS } from './words.ts';

/** Between two looks at the recording that runs [ms]. */
const LOOK_MS = 500;

const all = new WeakMap<Session, Recordings>();

/** @fires change - something of it is to be shown */
export class Recordings extends EventTarget {
  place: Place | undefined;
  list: readonly KeptRecording[] = [];
  stands: RecordingStands | undefined;
  /** Room that the browser still gives [bytes], undefined when it does not say. */ free_B: number | undefined;
  /** The browser clears nothing by itself. */ stays = false;
  private readonly session: Session;
  private readonly store: Remote<StoreApi>;
  private readonly unsaved = new Set<string>();
  private timer: ReturnType<typeof setInterval> | undefined;

  static of(session: Session): Recordings {
    let mine = all.get(session);
    if (!mine) {
      mine = new Recordings(session);
      all.set(session, mine);
    }
    return mine;
  }

  private constructor(session: Session) {
    super();
    this.session = session;
    const worker = new Worker(new URL('../../worker/recording.worker.ts', import.meta.url), { type: 'module' });
    this.store = wrap<StoreApi>(worker);
    const leave = (e: Event) => {
      if (this.unsaved.size > 0) e.preventDefault();
    };
    addEventListener('beforeunload', leave);
    session.addEventListener('closed', () => {
      removeEventListener('beforeunload', leave);
      clearInterval(this.timer);
      this.store[releaseProxy]();
      worker.terminate();
    });
  }

  get running(): boolean {
    return this.stands?.running === true;
  }

  /** Bytes that a row takes. */
  async rowBytes(signals: RecordAsk['signals']): Promise<number> {
    return this.store.rowBytes(signals);
  }

  /** Looks at everything anew. */
  async renew(): Promise<void> {
    const [place, list, stands, free_B, stays] = await Promise.all([
      this.store.place(),
      this.store.list(),
      this.store.stands(),
      freeRoom(),
      navigator.storage?.persisted?.().catch(() => false),
    ]);
    this.place = place;
    this.list = list;
    this.stands = stands;
    this.free_B = free_B;
    this.stays = stays === true;
    this.changed();
  }

  /** Begins one. Resolves to why it does not, '' when it does. */
  async start(ask: RecordAsk): Promise<string> {
    void navigator.storage?.persist?.().catch(() => false); // asked while the person does something; told by `renew`
    const why = await this.lead((port) => this.session.api.recordTo(ask, port));
    if (why !== '') return why;
    clearInterval(this.timer);
    this.timer = setInterval(() => void this.look(), LOOK_MS);
    await this.look();
    await this.renew(); // it stands in the list from its beginning
    return '';
  }

  /** Ends it. Resolves to how it then stands. */
  async end(): Promise<RecordingStands | undefined> {
    await this.session.api.endRecording();
    await this.store.closed();
    await this.look();
    return this.stands;
  }

  /** Keeps what the bench still has of the last seconds. Resolves to why not, '' when it is kept. */
  async takePast(ask: RecordAsk, seconds_s: number): Promise<string> {
    const why = await this.lead((port) => this.session.api.recordPast(ask, seconds_s, port));
    if (why !== '') return why;
    const stands = await this.store.closed();
    if (stands && this.place?.kind === 'memory') this.unsaved.add(stands.name);
    await this.renew();
    return stands?.why ?? '';
  }

  /** Gives one to the person as a file. Resolves to what is to be said about it. */
  async save(name: string, kind: GivenKind): Promise<string> {
    const given = await this.store.give(name, kind);
    if (!given.ok) return given.why;
    saveBlob(given.file, given.name);
    if (kind === 'psrec') this.unsaved.delete(name);
    return given.damages.length > 0 ? WORDS.savedDamaged(given.name, given.damages.join(' ')) : WORDS.saved(given.name);
  }

  /** Resolves to what is to be said about it. */
  async remove(name: string): Promise<string> {
    const why = await this.store.remove(name);
    if (why === '') this.unsaved.delete(name);
    await this.renew();
    return why === '' ? WORDS.removed(name) : why;
  }

  /** Brings recorder and drill together. Resolves to why not. */
  private async lead(send: (port: MessagePort) => Promise<void>): Promise<string> {
    const { port1, port2 } = new MessageChannel();
    const why = await this.store.begin(this.session.info.drill, transfer(port1, [port1]));
    if (why !== '') return why;
    try {
      await send(transfer(port2, [port2]));
      return '';
    } catch (error) {
      await this.store.closed();
      return (error as Error).message;
    }
  }

  private async look(): Promise<void> {
    [this.stands, this.free_B] = await Promise.all([this.store.stands(), freeRoom()]);
    const { stands } = this;
    if (stands?.running) this.session.recording = WORDS.short(length(stands.length_s));
    else {
      clearInterval(this.timer);
      this.session.recording = stands?.why ? WORDS.endedShort : '';
      if (stands && this.place?.kind === 'memory') this.unsaved.add(stands.name);
      await this.renew();
    }
    this.changed();
  }

  private changed(): void {
    this.dispatchEvent(new Event('change'));
  }
}

/** What the browser still gives to this page, undefined when it does not say. */
async function freeRoom(): Promise<number | undefined> {
  const { quota, usage } = (await navigator.storage?.estimate?.().catch(() => undefined)) ?? {};
  return quota === undefined ? undefined : Math.max(0, quota - (usage ?? 0));
}
