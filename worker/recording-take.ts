/**
 * One recording as it is made: rows come over a port, chunks go to a sink, once a second all that there is. Ticks are counted:
 * a row that is missing is told. When the sink takes no more, the recording ends and keeps what it has; the drill runs on.
 */
import type { Header, RunEnd } from '../src/recorder/header.ts';
import { RecordingWriter } from '../src/recorder/writer.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../src/signals.ts';
import type { RecordingStands } from './recording-api.ts';
import { NoRoom, type Sink } from './recording-sinks.ts';
import type { ToDrill, ToRecorder } from './recording-wire.ts';
import { RECORDING_WORDS as WORDS } from './recording-words.ts';

/** Between two flushes [ms]: a crash costs no more. */
const FLUSH_MS = 1000;

export class Take {
  readonly name: string;
  /** Resolves when the sink is closed. */ readonly closed: Promise<void>;
  private readonly sink: Sink;
  private readonly port: MessagePort;
  private readonly timer: ReturnType<typeof setInterval>;
  private writer: RecordingWriter | undefined;
  private places: Int32Array = new Int32Array(0);
  private readonly sample = new Float64Array(SIGNALS.length);
  private tick_s = 0;
  private every = 1;
  private firstTick = -1;
  private lastTick = -1;
  private rows = 0;
  private missing = 0;
  private why = '';
  private open = true;
  private done: () => void = () => {};

  constructor(name: string, sink: Sink, port: MessagePort) {
    this.name = name;
    this.sink = sink;
    this.port = port;
    this.closed = new Promise((done) => {
      this.done = done;
    });
    this.timer = setInterval(() => this.attempt(() => this.save()), FLUSH_MS);
    port.onmessage = ({ data }: MessageEvent<ToRecorder>) => this.hear(data);
  }

  get stands(): RecordingStands {
    const { name, open, rows, missing, why, firstTick, lastTick, tick_s } = this;
    const length_s = rows > 0 ? (lastTick - firstTick) * tick_s : 0;
    return { name, running: open, rows, size_B: this.sink.size, length_s, missing, why };
  }

  /** Nothing ever came: there is nothing to keep. */
  get blank(): boolean {
    return !this.writer;
  }

  /** Closes it without an end. @param why that never came */
  abandon(why: string): void {
    if (!this.open) return;
    this.attempt(() => this.save());
    this.why ||= why;
    this.shut();
  }

  private hear(message: ToRecorder): void {
    if (!this.open) return;
    if (message.kind === 'begin') this.attempt(() => this.begin(message));
    else if (message.kind === 'none') this.shut();
    else if (message.kind === 'end') this.end(message.run);
    else {
      this.attempt(() => this.take(message.numbers, message.rows));
      this.answer({ kind: 'empty', numbers: message.numbers }, [message.numbers.buffer]);
    }
  }

  private begin({ run, columns, tick_s, every }: Extract<ToRecorder, { kind: 'begin' }>): void {
    this.places = Int32Array.from(columns, ({ id }: Header['columns'][number]) => SIGNAL_INDEX[id as SignalId]);
    this.tick_s = tick_s;
    this.every = every;
    this.writer = new RecordingWriter((bytes) => this.sink.write(bytes), run, { columns, tick_s, every });
  }

  private take(numbers: Float64Array, rows: number): void {
    const { writer, places, sample, every } = this;
    if (!writer || this.why !== '') return;
    let at = 0;
    for (let k = 0; k < rows; k++) {
      const tick = numbers[at++];
      for (let c = 0; c < places.length; c++) sample[places[c]] = numbers[at++];
      writer.row(tick, sample);
      if (this.lastTick >= 0) this.missing += Math.max(0, Math.round((tick - this.lastTick) / every) - 1);
      else this.firstTick = tick;
      this.lastTick = tick;
      this.rows++;
    }
  }

  private save(): void {
    if (this.why !== '') return;
    this.writer?.flush();
    this.sink.flush();
  }

  /** Runs what may find the sink full. Then nothing more is taken, and the drill is asked for the end. */
  private attempt(work: () => void): void {
    try {
      work();
    } catch (error) {
      if (this.why !== '') return;
      const { message } = error as Error;
      this.why = error instanceof NoRoom ? message : WORDS.failed(message);
      this.answer({ kind: 'over', why: this.why });
    }
  }

  private end(run: RunEnd): void {
    const missed = this.missing > 0 ? WORDS.missing(this.missing) : '';
    const why = [run.why, missed].filter((each) => each !== '').join('; ');
    const told = { ...run, why, counters: { ...run.counters, rowsMissing: this.missing } };
    try {
      // Where the sink was full there is mostly room for the end still: a chunk is larger.
      this.writer?.end(told);
    } catch (error) {
      this.why ||= (error as Error).message;
    }
    this.shut();
  }

  private shut(): void {
    this.open = false;
    clearInterval(this.timer);
    try {
      this.sink.close();
    } catch (error) {
      this.why ||= WORDS.failed((error as Error).message);
    }
    this.port.close();
    this.done();
  }

  private answer(message: ToDrill, transfer: Transferable[] = []): void {
    this.port.postMessage(message, transfer);
  }
}
