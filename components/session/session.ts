/**
 * The page's side of the worker: one pinned facade for calls, one port for samples. The hands of the page live here, so
 * that the slider, the keys and the opening demonstration move the same ones.
 */
import { type Remote, releaseProxy, transfer, wrap } from 'comlink';
import type {
  BenchInfo,
  BoardPlace,
  DrillApi,
  Hands,
  Joined,
  LinkNews,
  Otherwise,
  Scenario,
  Wanted,
} from '../../worker/api.ts';
import { blockViews } from '../../worker/block.ts';
import { RunRecord } from './run-record.ts';

/** A worker that does not answer a set-up call for this long is taken for dead [ms]. */
const PATIENCE_MS = 20_000;

export interface HandsHeld {
  trigger: number;
  direction: number;
  gear: number;
  meets: number;
  grip_Nm: number;
  /** Setting, 0 locked. */ clutch: number;
  /** Firmness on the tool, 0 for a vice. */ wrist: number;
  push_N: number;
}

/** Before anybody has moved anything: screw at the tip, clutch locked, a usual hand with a usual push. */
export const AT_REST: Readonly<HandsHeld> = Object.freeze({
  trigger: 0,
  direction: 1,
  gear: 2,
  meets: 1,
  grip_Nm: 0,
  clutch: 0,
  wrist: 1,
  push_N: 120,
});

/** How a board is joined. */
export interface Joining {
  /** Over which a serial port is lent to the worker. */ readonly lent?: MessagePort;
  /** Nobody but this board. */ readonly wanted?: Wanted | undefined;
}

/** The drill of a first visit, and of boards. */
export const DRILL = 'bench-18';
const CONTROLLER = 'hall-six-step';

/**
 * @fires hands, driver (another controller is on the bench), news (how the controller does; a few times a second), stands (a
 * condition has frozen time, or a scenario that was put on the bench), closed
 */
export class Session extends EventTarget {
  /** Of the bench that runs; another controller makes it another. */ info: BenchInfo;
  /** The latest about the controller. Read it; it is not reactive. */ news: LinkNews | undefined;
  /** What opening a board waits for, in words. */ waitsFor = '';
  /** What the recording that runs has to say, in a few words, '' while none does. */ recording = '';
  /** The scenario whose hands drive the bench, undefined when none was put there. */ scene: Scenario | undefined;
  readonly record: RunRecord;
  readonly api: Remote<DrillApi>;
  /** What the hands do now. Read it; change it through `setHands`. */
  readonly hands: HandsHeld = { ...AT_REST };
  /** The worker has been ended. */ closed = false;
  private readonly worker: Worker;
  private readonly samples = new MessageChannel();
  private turn = 0;
  private led = false;
  /** Freezes by a condition that were told, on which bench. */ private told = { bench: 0, freezes: 0 };

  private constructor(worker: Worker, api: Remote<DrillApi>, info: BenchInfo) {
    super();
    this.worker = worker;
    this.api = api;
    this.info = info;
    this.record = new RunRecord(info.pwm_Hz);
  }

  /** Starts a worker with a bench at rest, time standing. Rejects with the reason when it does not start. */
  static async open(): Promise<Session> {
    const worker = new Worker(new URL('../../worker/drill.worker.ts', import.meta.url), { type: 'module' });
    const api = wrap<DrillApi>(worker);
    const info = await inTime(worker, api.load(DRILL, CONTROLLER, 1));
    const session = new Session(worker, api, info);
    const { samples } = session;
    samples.port1.onmessage = ({ data }: MessageEvent<ArrayBuffer | LinkNews>) => {
      if (!(data instanceof ArrayBuffer)) {
        session.hear(data);
        return;
      }
      session.record.absorb(blockViews(data));
      session.follow();
      samples.port1.postMessage(data, [data]);
    };
    await api.attach(transfer(samples.port2, [samples.port2]));
    await api.setHands(session.hands);
    return session;
  }

  /** A board drives, and the trigger does not reach it: nobody has armed it, or it is lost. */
  get locked(): boolean {
    return this.info.board !== undefined && this.news?.armed !== true;
  }

  /** Puts a built-in controller on a fresh bench. Rejects with the reason when the motor cannot be commissioned. */
  async useBuiltIn(controller: string, drill = DRILL): Promise<void> {
    this.take(await this.api.load(drill, controller, 1));
  }

  /** Puts a board on a fresh bench, not armed; what was there stays when the board is refused. */
  async connect(place: BoardPlace, { lent, wanted }: Joining = {}): Promise<Joined> {
    const port = lent && transfer(lent, [lent]);
    const joined = await this.api.connect(DRILL, place, 1, port, wanted);
    if (joined.ok) this.take(joined.info);
    return joined;
  }

  /** Lets the trigger reach the board, or keeps it from it. */
  async arm(on: boolean): Promise<void> {
    if (!on) this.setHands({ trigger: 0 });
    const heard = new Promise((resolve) => this.addEventListener('news', resolve, { once: true }));
    await this.api.arm(on);
    await heard;
  }

  /** While a run is gone through again, its hands move by themselves; those of the page go with them. */
  private follow(): void {
    const { record, hands } = this;
    const turn = record.headValue('turn');
    const again = record.headValue('again') === 1;
    if (turn === this.turn && !again && !this.led) return;
    this.turn = turn;
    this.led = again;
    let moved = false;
    for (const name of Object.keys(hands) as (keyof HandsHeld)[]) {
      const value = record.headValue(name);
      if (value !== hands[name]) moved = true;
      hands[name] = value;
    }
    if (moved) this.dispatchEvent(new CustomEvent('hands', { detail: 'again' }));
  }

  private hear(news: LinkNews): void {
    this.waitsFor = news.waitsFor;
    if (news.coupling !== this.info.coupling) return; // of the controller before
    this.news = news;
    if (news.loss !== '' && this.hands.trigger > 0 && this.locked) this.setHands({ trigger: 0 });
    this.dispatchEvent(new Event('news'));
    const { bench, freezes } = news.past;
    const before = this.told.bench === bench ? this.told.freezes : 0;
    this.told = { bench, freezes };
    if (freezes > before) this.dispatchEvent(new Event('stands'));
  }

  /** The bench is another: at rest, with the same direction, gear and load, nobody squeezing. */
  private take(info: BenchInfo): void {
    this.info = info;
    this.scene = undefined;
    this.news = undefined;
    this.setHands({ ...this.hands, trigger: 0, grip_Nm: 0 });
    this.dispatchEvent(new Event('driver'));
  }

  /** Puts a scenario on the bench, goes through it up to a moment and freezes there. Rejects with the reason. */
  async openScene(scenario: Scenario, otherwise: Otherwise, upTo_s: number): Promise<void> {
    this.info = await this.api.openScene(scenario, otherwise, upTo_s);
    this.scene = scenario;
    this.news = undefined;
    this.dispatchEvent(new Event('driver'));
    this.dispatchEvent(new Event('stands'));
  }

  /** Moves hands; `by` tells whether a person or the demonstration did. Fires 'hands'. */
  setHands(asked: Hands, by: 'person' | 'demonstration' = 'person'): void {
    const hands = this.locked && (asked.trigger ?? 0) > 0 ? { ...asked, trigger: 0 } : asked;
    for (const [key, value] of Object.entries(hands) as [keyof HandsHeld, number][]) this.hands[key] = value;
    void this.api.setHands(hands);
    this.dispatchEvent(new CustomEvent('hands', { detail: by }));
  }

  /** Opens all legs, lets go of trigger and chuck. */
  stop(): void {
    void this.api.stop();
    this.hands.trigger = 0;
    this.hands.grip_Nm = 0;
    this.dispatchEvent(new CustomEvent('hands', { detail: 'stop' }));
  }

  /** Ends the worker. */
  close(): void {
    this.closed = true;
    this.samples.port1.close(); // what is still on its way is for nobody
    this.api[releaseProxy](); // calls that are never answered would keep whoever waits for them
    this.worker.terminate();
    this.dispatchEvent(new Event('closed'));
  }
}

/** What the worker answers, unless it cannot be loaded or lets one wait too long. */
async function inTime<T>(worker: Worker, answer: Promise<T>): Promise<T> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const broken = new Promise<never>((_, reject) => {
    worker.onerror = (e) => reject(new Error(e.message || 'the worker could not be loaded'));
    timer = setTimeout(() => reject(new Error(`the worker gave no answer for ${PATIENCE_MS / 1000} s`)), PATIENCE_MS);
  });
  broken.catch(() => {}); // Heard through the race; afterwards nobody waits for it.
  try {
    return await Promise.race([answer, broken]);
  } finally {
    clearTimeout(timer); // a timer that waits on would keep the whole page for so long
  }
}
