/**
 * Takes samples where they are made and sends them to the recorder worker. The page is not on their way: however busy it is,
 * no sample waits for it. A period writes some numbers; buffers come back and are written into again.
 */
import { SIGNAL_INDEX, type SignalId } from '../src/signals.ts';
import { ROWS_TOGETHER, type ToDrill, type ToRecorder } from './recording-wire.ts';

/** What may be under way to the recorder [bytes]: beyond it the disk is too slow for the run, and rows are left out and counted. */
const UNDER_WAY_MOST = 64 * 1024 * 1024;
/** Rows that are not many wait no longer than this [ms]: with a flush a second, a crash costs a second. */
const WAIT_MS = 250;

export class RecordingTap {
  /** Why the recorder takes no more, '' while it does. */ refused = '';
  private readonly port: MessagePort;
  private readonly places: Int32Array;
  private readonly every: number;
  private readonly width: number;
  private readonly empties: Float64Array<ArrayBuffer>[] = [];
  private readonly timer: ReturnType<typeof setInterval>;
  private held: Float64Array<ArrayBuffer> | undefined;
  private rows = 0;
  private underWay = 0;
  private waiting: (() => void) | undefined;
  private readonly most_B: number;
  private readonly onRefused: () => void;

  /** @param onRefused called when the recorder takes no more; @param most_B that may be under way */
  constructor(
    port: MessagePort,
    signals: readonly SignalId[],
    every: number,
    onRefused = (): void => {},
    most_B = UNDER_WAY_MOST,
  ) {
    this.port = port;
    this.places = Int32Array.from(signals, (id) => SIGNAL_INDEX[id]);
    this.every = every;
    this.width = signals.length + 1;
    this.onRefused = onRefused;
    this.most_B = most_B;
    this.timer = setInterval(() => this.flush(), WAIT_MS);
    port.onmessage = ({ data }: MessageEvent<ToDrill>) => {
      if (data.kind === 'over') {
        this.refused = data.why;
        this.onRefused();
      } else {
        this.empties.push(data.numbers);
        this.underWay--;
      }
      this.waiting?.();
    };
  }

  tell(message: ToRecorder): void {
    this.port.postMessage(message);
  }

  /** Takes the sample of a tick, when it is one that is asked for. */
  see(tick: number, sample: ArrayLike<number>): void {
    if (tick % this.every !== 0 || this.refused !== '') return;
    const numbers = this.room();
    if (!numbers) return; // the recorder finds the gap in the ticks, and counts it
    const { places } = this;
    let at = this.rows * this.width;
    numbers[at++] = tick;
    for (let k = 0; k < places.length; k++) numbers[at++] = sample[places[k]];
    if (++this.rows === ROWS_TOGETHER) this.flush();
  }

  flush(): void {
    const { held, rows } = this;
    if (!held || rows === 0) return;
    this.held = undefined;
    this.rows = 0;
    this.underWay++;
    this.port.postMessage({ kind: 'rows', rows, numbers: held } satisfies ToRecorder, [held.buffer]);
  }

  /** Resolves when no more than so many buffers are under way, or nothing more is taken. */
  async drained(buffers: number): Promise<void> {
    while (this.underWay > buffers && this.refused === '')
      await new Promise<void>((next) => {
        this.waiting = next;
      });
  }

  /** Sends what is left, and the end. */
  close(end: Extract<ToRecorder, { kind: 'end' }>): void {
    clearInterval(this.timer);
    this.flush();
    this.tell(end);
  }

  private room(): Float64Array | undefined {
    if (this.held) return this.held;
    const length = ROWS_TOGETHER * this.width;
    if (this.empties.length === 0 && this.underWay * length * 8 > this.most_B) return undefined;
    this.held = this.empties.pop() ?? new Float64Array(length);
    return this.held;
  }
}
