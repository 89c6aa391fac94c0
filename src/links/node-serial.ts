/**
 * A board on a serial port of this machine. Runs in Node, with the package serialport, which is optional: it is loaded when
 * a port is opened, and every other kind of link works without it.
 *
 * Opening a port may reset the board, and does on many; the greeting repeats until it has booted. A board that was unplugged
 * is noticed by the driver, or by its name gone from the system: the driver alone may read an ended port for ever.
 */
import { stat } from 'node:fs/promises';
import { SetUpError } from './errors.ts';
import type { LinkTimes, LockStepLink } from './link.ts';
import { faultOf, faultWords, portsHere } from './node-serial-help.ts';
import { Outbox } from './serial-outbox.ts';
import { openSession } from './session.ts';
import type { Ear, Wire } from './wire.ts';
import { pause, within } from './within.ts';

export interface SerialPlace {
  readonly path: string;
  /** Rate of the line [Bd]. */ readonly baud: number;
  /** Level of the line DTR while open; left out: as the system sets it. */ readonly dtr?: boolean;
  /** The same of RTS. */ readonly rts?: boolean;
}

/**
 * Rate when none is written [Bd]. Every adapter and every board reaches it: a UART of 16 MHz with 16 samples a bit is 8.5 %
 * off at 921600, which no receiver takes, and with 8 samples 2.1 % off at this. Faster lines are worth writing down.
 */
const BAUD_USUAL = 115_200;
const BAUD_LEAST = 1200;
const BAUD_MOST = 12_000_000;

export const SERIAL_FORM = 'serial:PATH[@BAUD][,dtr=on|off][,rts=on|off]';
const ALLOWED =
  `allowed is ${SERIAL_FORM} with ${BAUD_LEAST} to ${BAUD_MOST} Bd, ${BAUD_USUAL} when left out; ` +
  'e.g. serial:/dev/ttyACM0, serial:COM5@921600, serial:/dev/ttyUSB0@115200,dtr=off';

/** Reads PATH[@BAUD][,dtr=...][,rts=...]. Throws SetUpError saying what is allowed. */
export function parseSerialPlace(text: string): SerialPlace {
  const at = text.lastIndexOf('@');
  const path = at < 0 ? text : text.slice(0, at);
  if (path.trim() === '' || /[\p{Cc}]/u.test(path)) throw new SetUpError(`the port is missing; ${ALLOWED}`);
  const place: { path: string; baud: number; dtr?: boolean; rts?: boolean } = { path, baud: BAUD_USUAL };
  for (const option of at < 0 ? [] : text.slice(at + 1).split(',')) {
    const [, line, level] = /^(dtr|rts)=(on|off)$/.exec(option) ?? [];
    if (line === 'dtr' || line === 'rts') place[line] = level === 'on';
    else if (/^\d{1,9}$/.test(option)) place.baud = Number(option);
    else throw new SetUpError(`'${option}' is no option of a serial port; ${ALLOWED}`);
  }
  if (place.baud < BAUD_LEAST || place.baud > BAUD_MOST) throw new SetUpError(`${place.baud} Bd; ${ALLOWED}`);
  return place;
}

/** What is used of a port of the package serialport. */
export interface DriverPort {
  write(bytes: Uint8Array, done: (error?: Error | null) => void): unknown;
  set(levels: { dtr: boolean; rts: boolean }, done: (error: Error | null) => void): void;
  close(done: (error?: Error | null) => void): void;
  on(event: 'data', hear: (chunk: Uint8Array) => void): unknown;
  on(event: 'error' | 'close', hear: (error?: Error | null) => void): unknown;
}

/** What is used of the package serialport. */
export interface Driver {
  readonly SerialPort: new (
    settings: { path: string; baudRate: number; highWaterMark: number; hupcl: boolean },
    opened: (error: Error | null) => void,
  ) => DriverPort;
}

export interface SerialOptions {
  /** Loads the package serialport. */ readonly load?: () => Promise<Driver>;
  /** How long a port that is in use is tried [s]. */ readonly busy_s?: number;
  /** Gets what a person should know meanwhile; default: our standard error. */
  readonly onText?: (line: string) => void;
  readonly platform?: NodeJS.Platform;
}

/** Bytes that the driver reads at a time. Its own 64 KiB hold bursts back. */
const READ_BYTES = 8192;
/** A port that has just been plugged in is often held by what tries new ports [s]. */
const BUSY_S = 20;
const RETRY_MS = 250;
/** How often the name of the port is looked for [ms]. */
const LOOK_MS = 300;
/** Time for the last bytes to leave, and for the driver to close [ms]. */
const LEAVE_MS = 200;
const CLOSE_MS = 1000;

const loadDriver = async (): Promise<Driver> => (await import('serialport')) as unknown as Driver;

/** Opens, greets and waits for Hello; rejects as openSerialWire does, or with LinkLostError when no board answers. */
export async function openSerialLink(
  place: string,
  options: SerialOptions & Partial<LinkTimes> = {},
): Promise<LockStepLink> {
  return openSession(await openSerialWire(place, options), options);
}

/** Opens a port. Rejects with SetUpError that says why it does not open and what mends it. */
export async function openSerialWire(text: string, options: SerialOptions = {}): Promise<Wire & { baud: number }> {
  const place = parseSerialPlace(text);
  const name = `serial:${text}`;
  const { SerialPort } = await driver(name, options.load ?? loadDriver);
  const port = await openPort(SerialPort, place, name, options);
  if (place.dtr !== undefined || place.rts !== undefined) await setLevels(port, place, name);
  return new SerialWire(name, place, port);
}

class SerialWire implements Wire {
  readonly name: string;
  readonly baud: number;
  private readonly port: DriverPort;
  private readonly outbox: Outbox;
  private readonly looker: ReturnType<typeof setInterval> | undefined;
  private ear: Ear | undefined;
  private ended = '';
  private closing: Promise<void> | undefined;

  constructor(name: string, { path, baud }: SerialPlace, port: DriverPort) {
    this.name = name;
    this.baud = baud;
    this.port = port;
    this.outbox = new Outbox((bytes, done) => port.write(bytes, done));
    port.on('data', (chunk) => this.ear?.take(chunk));
    port.on('error', (error) =>
      this.end(GONE.test(`${error?.message}`) ? gone(error?.message) : `the port failed: ${error?.message}`),
    );
    port.on('close', (error) => this.end(gone(error?.message)));
    if (path.startsWith('/')) {
      this.looker = setInterval(() => stat(path).catch(() => this.end(gone(`${path} is no longer there`))), LOOK_MS);
      this.looker.unref();
    }
  }

  attach(ear: Ear): void {
    this.ear = ear;
    if (this.ended !== '') this.end(this.ended);
  }

  send(bytes: Uint8Array): void {
    this.outbox.send(bytes);
  }

  trouble(): string {
    return this.outbox.trouble();
  }

  close(): Promise<void> {
    this.closing ??= this.leave();
    return this.closing;
  }

  private end(what: string): void {
    if (this.ended === '' && !this.closing) this.port.close(() => undefined); // ends its reading too
    this.ended = what;
    clearInterval(this.looker);
    this.ear?.lose('closed', `${what} (${this.ear.progress})`);
  }

  private async leave(): Promise<void> {
    clearInterval(this.looker);
    if (this.ended === '') await within(this.outbox.rest(), LEAVE_MS); // a farewell is worth a moment
    this.outbox.stop();
    this.ear = undefined;
    await within(new Promise<void>((resolve) => this.port.close(() => resolve())), CLOSE_MS);
  }
}

/** What the system calls reading or writing a port that is no longer there. */
const GONE = /EIO|ENXIO|ENODEV|EBADF/;
const gone = (why: string | undefined): string =>
  `the port is gone${why ? `: ${why}` : ''}; was the board unplugged, or did it restart?`;

/** The package, or why there is none. */
async function driver(name: string, load: () => Promise<Driver>): Promise<Driver> {
  try {
    return await load();
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    const absent = code === 'ERR_MODULE_NOT_FOUND' || code === 'MODULE_NOT_FOUND';
    const why = absent
      ? 'a serial port needs the package serialport, which is not installed; npm install serialport brings it'
      : `the package serialport is there, but has no part that runs on ${process.platform} ${process.arch} with ` +
        `Node ${process.versions.node}: ${message.split('\n')[0]}`;
    throw new SetUpError(
      `${name}: ${why}. Without it these work: exec:CMD, tcp:HOST:PORT, ws://HOST:PORT/PATH; a program such as socat ` +
        'ties a serial port to a TCP port, and a browser with Web Serial opens one itself',
    );
  }
}

async function openPort(
  Port: Driver['SerialPort'],
  { path, baud, dtr }: SerialPlace,
  name: string,
  { busy_s = BUSY_S, platform = process.platform, onText = (line) => process.stderr.write(`${line}\n`) }: SerialOptions,
): Promise<DriverPort> {
  // A board that is to be left alone by DTR must not feel it fall at the end either.
  const settings = { path, baudRate: baud, highWaterMark: READ_BYTES, hupcl: dtr !== false };
  const until_ms = performance.now() + busy_s * 1000;
  for (let tries = 0; ; tries++) {
    const result = await new Promise<DriverPort | Error>((resolve) => {
      const port = new Port(settings, (error) => resolve(error ?? port));
      port.on('error', () => undefined); // the reason comes with the call that failed
    });
    if (!(result instanceof Error)) return result;
    const fault = faultOf(result.message, platform);
    if (fault !== 'busy' || performance.now() >= until_ms) {
      const ports = await portsHere(platform);
      throw new SetUpError(`${name}: ${faultWords(fault, result.message, platform, ports, busy_s)}`);
    }
    if (tries === 0) onText(`${name}: in use by another program; trying for ${busy_s} s`);
    await pause(RETRY_MS);
  }
}

/** Sets both lines: the driver knows no other way, and a line that was not named stays as a system sets it, on. */
async function setLevels(port: DriverPort, { dtr = true, rts = true }: SerialPlace, name: string): Promise<void> {
  const error = await new Promise<Error | null>((resolve) => port.set({ dtr, rts }, resolve));
  if (!error) return;
  await within(new Promise<void>((resolve) => port.close(() => resolve())), CLOSE_MS);
  throw new SetUpError(
    `${name}: this port has no lines DTR and RTS to set (${error.message}); leave dtr= and rts= out`,
  );
}
