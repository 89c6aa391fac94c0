/**
 * A board on a serial port that the browser gives out (Web Serial). Runs in page and worker.
 *
 * A line error (framing, parity, break, overrun) ends the stream and not the port: reading goes on with the next stream, and
 * the framing finds its way back at the next delimiter. Only NetworkError, or a port without a stream, means gone.
 *
 * The buffer of 256 KiB holds what comes while the thread is busy; the default of the standard, 255 bytes, loses it. The
 * same number lets that much wait to go out, so nothing may be sent in bulk: lock-step has one frame unanswered, rate-split
 * as many as its credits.
 */
import { SetUpError } from './errors.ts';
import { Outbox } from './serial-outbox.ts';
import { LineTrouble } from './web-serial-trouble.ts';
import type { Ear, Wire } from './wire.ts';
import { pause, within } from './within.ts';

/** What is used of a SerialPort. */
export interface WebPort {
  readonly readable: ReadableStream<Uint8Array> | null;
  readonly writable: WritableStream<Uint8Array> | null;
  open(options: { baudRate: number; bufferSize: number }): Promise<void>;
  setSignals?(signals: { dataTerminalReady?: boolean; requestToSend?: boolean }): Promise<void>;
  close(): Promise<void>;
  /** Only of a port whose streams come from another thread: resolves when `readable` is up to date after an error. */
  renewed?(): Promise<void>;
}

export interface WebSerialOptions {
  /** How the port is named in messages. */ readonly name?: string;
  /** Rate of the line [Bd]. */ readonly baud: number;
  /** Levels of the lines DTR and RTS; left out: as the system sets them, on with most. */
  readonly dtr?: boolean;
  readonly rts?: boolean;
  /** How long a port that is in use is tried [s]. */ readonly busy_s?: number;
  /** Gets what a person should know meanwhile: a busy port, a burst of line errors. */
  readonly onWords?: (words: string) => void;
}

export const PORT_BUFFER_BYTES = 262_144;
/** Bytes read at a time. */
const READ_BYTES = 16_384;
const BUSY_S = 20;
const RETRY_MS = 250;
/** Time for each step of taking leave, and for the port to close [ms]. */
const STEP_MS = 300;
const CLOSE_MS = 1000;

type State = 'new' | 'opening' | 'open' | 'closing';
type Reader = ReadableStreamDefaultReader<Uint8Array> | ReadableStreamBYOBReader;

export class WebSerialWire implements Wire {
  readonly name: string;
  readonly baud: number;
  /** Line errors by name. */ readonly lineErrors = new LineTrouble();
  private readonly port: WebPort;
  private readonly options: WebSerialOptions;
  private readonly outbox: Outbox;
  private readonly stop = new AbortController();
  private state: State = 'new';
  private opening: Promise<void> | undefined;
  private reading: Promise<void> | undefined;
  private closing: Promise<void> | undefined;
  private reader: Reader | undefined;
  private writer: WritableStreamDefaultWriter<Uint8Array> | undefined;
  private ear: Ear | undefined;

  constructor(port: WebPort, options: WebSerialOptions) {
    this.port = port;
    this.options = options;
    this.name = options.name ?? 'serial port';
    this.baud = options.baud;
    this.outbox = new Outbox((bytes, done) => this.put(bytes, done));
  }

  /** Opens the port; once. Rejects with SetUpError when it does not open, or when `close` came first. */
  open(): Promise<void> {
    this.opening ??= this.openPort();
    return this.opening;
  }

  attach(ear: Ear): void {
    this.ear = ear;
    this.reading = this.read(ear);
  }

  send(bytes: Uint8Array): void {
    this.outbox.send(bytes);
  }

  trouble(): string {
    return [this.lineErrors.words(), this.outbox.trouble()].filter((words) => words !== '').join('; ');
  }

  /** The one way down, from every state. */
  close(): Promise<void> {
    this.closing ??= this.leave();
    return this.closing;
  }

  private async openPort(): Promise<void> {
    const { baud, dtr, rts, busy_s = BUSY_S, onWords } = this.options;
    const until_ms = performance.now() + busy_s * 1000;
    this.state = 'opening';
    for (let tries = 0; ; tries++) {
      const failure = await this.port.open({ baudRate: baud, bufferSize: PORT_BUFFER_BYTES }).catch((error) => error);
      if (failure === undefined) break;
      const busy = failure.name === 'NetworkError'; // in use, or not allowed: the browser says no more
      if (!busy || this.stop.signal.aborted || performance.now() >= until_ms) {
        this.state = 'new';
        throw new SetUpError(`${this.name}: ${openWords(failure, baud, busy_s)}`);
      }
      if (tries === 0) onWords?.(`${this.name}: does not open yet; trying for ${busy_s} s`);
      await pause(RETRY_MS, this.stop.signal);
    }
    this.state = 'open';
    if (this.stop.signal.aborted) throw new SetUpError(`${this.name}: closed before it was open`);
    if (dtr !== undefined || rts !== undefined) {
      const levels = {
        ...(dtr !== undefined && { dataTerminalReady: dtr }),
        ...(rts !== undefined && { requestToSend: rts }),
      };
      const failure = await this.port.setSignals?.(levels).catch((error: Error) => error);
      if (failure) throw new SetUpError(`${this.name}: the lines DTR and RTS cannot be set: ${failure.message}`);
    }
    this.writer = this.port.writable?.getWriter();
  }

  /** Reads and hands over, nothing else; from one stream to the next until the port is gone. */
  private async read(ear: Ear): Promise<void> {
    let stream = this.port.readable;
    let why = 'it has no stream to read';
    while (stream && !this.stop.signal.aborted) {
      const failure = await this.drain(stream, ear);
      if (this.stop.signal.aborted) return;
      if (failure === undefined) {
        why = 'its stream has ended';
        break;
      }
      why = failure.message;
      if (failure.name === 'NetworkError') break;
      if (this.lineErrors.note(failure.name, performance.now())) {
        this.options.onWords?.(`${this.name}: ${this.lineErrors.words()}`);
      }
      await this.port.renewed?.();
      const next: ReadableStream<Uint8Array> | null = this.port.readable;
      stream = next === stream ? null : next;
    }
    if (!this.stop.signal.aborted) this.gone(why);
  }

  /** Reads one stream to its end; the error that ended it. */
  private async drain(stream: ReadableStream<Uint8Array>, ear: Ear): Promise<DOMException | undefined> {
    const byob = byobReader(stream);
    const reader = byob ?? stream.getReader();
    this.reader = reader;
    let buffer = new ArrayBuffer(byob ? READ_BYTES : 0);
    try {
      for (;;) {
        const { value, done } = byob
          ? await byob.read(new Uint8Array(buffer))
          : await (reader as ReadableStreamDefaultReader<Uint8Array>).read();
        if (value && value.length > 0) ear.take(value);
        if (done) return undefined;
        if (byob) buffer = value.buffer as ArrayBuffer; // the same memory, back from the stream
      }
    } catch (error) {
      return error as DOMException;
    } finally {
      this.reader = undefined;
      reader.releaseLock();
    }
  }

  private put(bytes: Uint8Array, done: () => void): void {
    const written = this.writer?.write(bytes) ?? Promise.resolve();
    written.then(done, (error: DOMException) => {
      this.renewWriter();
      if (!this.stop.signal.aborted && (error.name === 'NetworkError' || !this.writer)) this.gone(error.message);
      else this.lineErrors.note(error.name, performance.now());
      done();
    });
  }

  /** A stream that has failed is replaced by the port as long as the port is there. */
  private renewWriter(): void {
    const { writable } = this.port;
    this.writer?.releaseLock();
    this.writer = writable && !writable.locked ? writable.getWriter() : undefined;
  }

  private gone(why: string): void {
    this.outbox.stop();
    this.ear?.lose(
      'closed',
      `the port is gone: ${why}; was the board unplugged, or did it restart? (${this.ear.progress})`,
    );
  }

  private async leave(): Promise<void> {
    if (this.state === 'open') await within(this.outbox.rest(), STEP_MS); // a farewell is worth a moment
    this.stop.abort();
    this.outbox.stop();
    // Opening cannot be called off; when it takes longer than this, the port is closed as soon as it is open.
    const down = this.opening?.then(nothing, nothing).then(() => this.release());
    if (down) await within(down, CLOSE_MS + 4 * STEP_MS);
  }

  /** Gives back both locks, then the port: a port does not close while a stream of it is locked. */
  private async release(): Promise<void> {
    if (this.state !== 'open') return;
    this.state = 'closing';
    if (this.reader) await within(this.reader.cancel(), STEP_MS);
    if (this.reading && !(await within(this.reading, STEP_MS))) this.reader?.releaseLock();
    const { writer } = this;
    this.writer = undefined;
    if (writer) {
      if (!(await within(writer.close(), STEP_MS))) await within(writer.abort(), STEP_MS);
      writer.releaseLock();
    }
    await within(this.port.close(), CLOSE_MS);
  }
}

const nothing = (): void => undefined;

/** Opens a port as a wire. Rejects with SetUpError; then the port is closed. */
export async function openWebSerialWire(port: WebPort, options: WebSerialOptions): Promise<WebSerialWire> {
  const wire = new WebSerialWire(port, options);
  try {
    await wire.open();
    return wire;
  } catch (error) {
    await wire.close();
    throw error;
  }
}

/** A reader that brings its own memory, where the stream is of bytes; a port of an older browser is not. */
function byobReader(stream: ReadableStream<Uint8Array>): ReadableStreamBYOBReader | undefined {
  try {
    return stream.getReader({ mode: 'byob' });
  } catch {
    return undefined;
  }
}

function openWords({ name, message }: DOMException, baud: number, busy_s: number): string {
  if (name === 'InvalidStateError') return 'this page has it open already; end that link first';
  if (name === 'NetworkError') {
    return (
      `it did not open within ${busy_s} s. Another program may have it open, or another tab; on Linux the rights may be missing: ` +
      'src/board/50-phantom-board.rules gives them, or the group of the port (dialout or uucp)'
    );
  }
  return `it does not open with ${baud} Bd: ${message}`;
}
