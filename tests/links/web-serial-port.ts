/**
 * An object with the shape of a SerialPort, for page, worker and Node. It behaves as the standard and its public tests say:
 * after a line error the bytes that came before are still read, then the read rejects, `readable` is another stream, and
 * bytes go on; after NetworkError both streams are null; a port with a locked stream does not close. What nobody reads is
 * kept up to `bufferSize`, then lost with BufferOverrunError.
 *
 * Source  Web Serial API, draft of the WICG: readable, writable, close. Web platform tests, serial/
 *         serialPort_readable_parityError.https.any.js (read).
 */
import type { GrantedPort, PortInfo } from '../../src/links/web-serial-ask.ts';

export interface FakeLook {
  /** Whether the stream is one of bytes, as in newer browsers. */ readonly bytes?: boolean;
  readonly info?: PortInfo;
  /** Names of the errors with which the first openings fail. */ readonly refusals?: string[];
  /** Time that opening takes [ms]. */ readonly openTakes_ms?: number;
  /** The driver takes no bytes. */ readonly stuck?: boolean;
  /** Closing never ends. */ readonly closeHangs?: boolean;
}

export class FakePort implements GrantedPort {
  readonly openings: { baudRate: number; bufferSize: number }[] = [];
  readonly signals: object[] = [];
  closings = 0;
  isOpen = false;
  /** Gets what is written. */ toBoard: (bytes: Uint8Array) => void = () => undefined;
  private readonly look: FakeLook;
  private readonly refusals: string[];
  private input: ReadableStream<Uint8Array> | undefined;
  private output: WritableStream<Uint8Array> | undefined;
  private outputControl: WritableStreamDefaultController | undefined;
  private fatal = false;
  /** What has come and was not read yet, in order. */ private queue: (Uint8Array | DOMException)[] = [];
  private queued = 0;
  private wake: (() => void) | undefined;

  constructor(look: FakeLook = {}) {
    this.look = look;
    this.refusals = [...(look.refusals ?? [])];
  }

  getInfo(): PortInfo {
    return this.look.info ?? {};
  }

  async open(options: { baudRate: number; bufferSize: number }): Promise<void> {
    if (this.isOpen) throw new DOMException('The port is already open.', 'InvalidStateError');
    if (this.look.openTakes_ms) await new Promise((resolve) => setTimeout(resolve, this.look.openTakes_ms));
    const refusal = this.refusals.shift();
    if (refusal) throw new DOMException('Failed to open serial port.', refusal);
    this.openings.push(options);
    this.isOpen = true;
  }

  async setSignals(signals: object): Promise<void> {
    this.signals.push(signals);
  }

  get readable(): ReadableStream<Uint8Array> | null {
    if (!this.isOpen || this.fatal) return null;
    this.input ??= this.newInput();
    return this.input;
  }

  get writable(): WritableStream<Uint8Array> | null {
    if (!this.isOpen || this.fatal) return null;
    this.output ??= new WritableStream<Uint8Array>(
      {
        start: (control) => {
          this.outputControl = control;
        },
        write: (chunk) => {
          if (this.look.stuck) return new Promise(() => undefined);
          this.toBoard(chunk);
          return undefined;
        },
      },
      { highWaterMark: this.bufferSize, size: (chunk) => chunk.length },
    );
    return this.output;
  }

  async close(): Promise<void> {
    if (this.input?.locked || this.output?.locked) throw new TypeError('Cannot cancel a locked stream');
    if (this.look.closeHangs) return new Promise(() => undefined);
    this.closings++;
    this.isOpen = false;
    this.input = undefined;
    this.output = undefined;
    this.queue = [];
    this.queued = 0;
    return undefined;
  }

  /** Bytes arrive on the line. */
  hear(bytes: Uint8Array): void {
    if (!this.isOpen || this.fatal || bytes.length === 0) return;
    const room = this.bufferSize - this.queued;
    if (room > 0) this.arrive(bytes.slice(0, room));
    if (room < bytes.length) this.fail('BufferOverrunError');
  }

  /** A line error, or with NetworkError the end of the port. */
  fail(name: string, message = `a ${name} on the line`): void {
    if (!this.isOpen || this.fatal) return;
    const error = new DOMException(message, name);
    if (name === 'NetworkError') this.outputControl?.error(error);
    this.arrive(error);
  }

  private arrive(what: Uint8Array | DOMException): void {
    this.queue.push(what);
    if (what instanceof Uint8Array) this.queued += what.length;
    this.wake?.();
  }

  private get bufferSize(): number {
    return this.openings[this.openings.length - 1].bufferSize;
  }

  /** Hands over one thing for each read, so that what came before an error is read before it. */
  private newInput(): ReadableStream<Uint8Array> {
    type Control = { enqueue(bytes: Uint8Array): void; error(error: DOMException): void };
    const pull = async (control: Control): Promise<void> => {
      while (this.queue.length === 0) {
        await new Promise<void>((resolve) => {
          this.wake = resolve;
        });
      }
      const what = this.queue.shift()!;
      if (what instanceof Uint8Array) {
        this.queued -= what.length;
        control.enqueue(what);
        return;
      }
      this.input = undefined;
      if (what.name === 'NetworkError') this.fatal = true;
      control.error(what);
    };
    const cancel = (): void => {
      this.input = undefined;
    };
    const bytes = this.look.bytes !== false && { type: 'bytes' as const };
    const source = { ...bytes, pull, cancel } as unknown as UnderlyingDefaultSource<Uint8Array>;
    return new ReadableStream(source, { highWaterMark: 0 });
  }
}
