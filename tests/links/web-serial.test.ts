/** Web Serial without a browser: the streams are those of Node, which follow the same standard. */
import { afterEach, describe, expect, it } from 'vitest';
import { LinkLostError, SetUpError } from '../../src/links/errors.ts';
import type { LinkLoss, LockStepLink } from '../../src/links/link.ts';
import { ServedController } from '../../src/links/served.ts';
import { openSession } from '../../src/links/session.ts';
import { openWebSerialWire, PORT_BUFFER_BYTES, type WebPort, WebSerialWire } from '../../src/links/web-serial.ts';
import { LineTrouble } from '../../src/links/web-serial-trouble.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { echoController } from './echo-controller.ts';
import { heardAt } from './uart.ts';
import { FakePort } from './web-serial-port.ts';

const BAUD = 921_600;

/** A port with a board on it. */
function boardPort(...look: ConstructorParameters<typeof FakePort>): FakePort {
  const port = new FakePort(...look);
  const board = new ServedController(echoController(), (bytes) => {
    const copy = bytes.slice();
    setImmediate(() => port.hear(copy));
  });
  port.toBoard = (bytes) => board.receiver.push(bytes);
  return port;
}

let wires: WebSerialWire[] = [];
afterEach(async () => {
  await Promise.all(wires.map((wire) => wire.close()));
  wires = [];
});

interface Opened {
  readonly link: LockStepLink;
  readonly wire: WebSerialWire;
  readonly words: string[];
}

async function opened(port: WebPort, times = {}): Promise<Opened> {
  const words: string[] = [];
  const wire = await openWebSerialWire(port, { baud: BAUD, onWords: (each) => words.push(each) });
  wires.push(wire);
  return { link: await openSession(wire, { beat_s: 0, answer_s: 2, ...times }), wire, words };
}

let tick = 0;
async function exchange(link: LockStepLink): Promise<'ok' | LinkLoss> {
  const sense = { ...blankSense(), tick: ++tick, ia: tick & 0xfff };
  const drive = blankDrive(1);
  const result = await link.exchange(sense, drive);
  if (result === 'ok') expect(drive.dutyA).toBe(sense.ia);
  return result;
}

describe('Web Serial link', () => {
  it.each([
    ['of bytes', true],
    ['of chunks, as in an older browser', false],
  ])('exchanges frames over streams %s, with a buffer that is named', async (_, bytes) => {
    const port = boardPort({ bytes });
    const { link } = await opened(port);
    expect(port.openings).toEqual([{ baudRate: BAUD, bufferSize: 262_144 }]);
    for (let k = 0; k < 200; k++) expect(await exchange(link)).toBe('ok');
    expect(link.counters).toMatchObject({ answered: 200, restarts: 0, drops: { badCrc: 0 } });
    expect(link).toMatchObject({ baud: BAUD, roundTrip: { missed: 0 } });
    await link.close();
    expect(port).toMatchObject({ closings: 1, isOpen: false });
  });

  it.each(['BufferOverrunError', 'BreakError', 'FramingError', 'ParityError'])(
    'goes on after %s with the next stream, and counts it by name',
    async (name) => {
      const port = boardPort();
      const { link, wire } = await opened(port);
      expect(await exchange(link)).toBe('ok');
      port.hear(Uint8Array.of(0x55, 0x00, 0x13)); // the head of something, cut by the error
      port.fail(name);
      for (let k = 0; k < 20; k++) expect(await exchange(link)).toBe('ok');
      expect(wire.lineErrors.counts).toMatchObject({ [name]: 1 });
      expect(wire.trouble()).toMatch(new RegExp(`^1 ${name} \\([^)]+\\)$`));
      expect(link.counters.answered).toBe(21);
      await link.close();
    },
  );

  it('asks for baud and wiring after five errors in a second, and says it when the link is lost for it', async () => {
    const port = boardPort();
    const { link, words } = await opened(port, { answer_s: 0.3 });
    port.toBoard = () => {
      for (let k = 0; k < 5; k++) port.fail('FramingError');
    };
    const loss = await exchange(link);
    expect(loss).toMatchObject({ cause: 'no answer' });
    const question = '5 FramingError (a stop bit was missing); baud or wiring?';
    expect((loss as LinkLoss).message).toContain(question);
    expect(words).toEqual([`serial port: ${question}`]);
    await link.close();
  });

  it('is lost as closed when the port reports that it is gone', async () => {
    const port = boardPort();
    const { link } = await opened(port);
    const asked = exchange(link);
    port.toBoard = () => undefined;
    port.fail('NetworkError', 'The device has been lost.');
    await asked;
    const loss = await exchange(link);
    expect(loss).toMatchObject({ cause: 'closed' });
    expect((loss as LinkLoss).message).toContain(
      'the port is gone: The device has been lost.; was the board unplugged, or did it restart?',
    );
    expect(port.readable).toBeNull();
    await link.close();
  });

  it('hears what came before an error', async () => {
    const port = boardPort();
    const { link } = await opened(port);
    const { toBoard } = port;
    port.toBoard = (bytes) => {
      toBoard(bytes);
      setImmediate(() => port.fail('ParityError'));
    };
    expect(await exchange(link)).toBe('ok');
    await link.close();
  });

  it('loses nothing while the thread is busy, thanks to the size of the buffer', async () => {
    const port = boardPort();
    const { link, wire } = await opened(port);
    const noise = new Uint8Array(1000).fill(0x55); // a board that prints while nobody reads
    for (let k = 0; k < 7; k++) port.hear(noise);
    expect(await exchange(link)).toBe('ok');
    expect(wire.lineErrors.counts.BufferOverrunError).toBe(0);
    // The size that the standard takes when none is named would not do.
    const small = new FakePort();
    await small.open({ baudRate: BAUD, bufferSize: 255 });
    small.hear(noise);
    const reader = small.readable!.getReader();
    expect((await reader.read()).value).toHaveLength(255);
    await expect(reader.read()).rejects.toThrow('BufferOverrunError');
    await link.close();
  });

  it('has at most one Sense and one Beat on their way in lock-step, however much the stream would take', async () => {
    const port = boardPort();
    const { link } = await opened(port, { beat_s: 0.01 });
    let onTheWay = 0;
    let most = 0;
    const { toBoard } = port;
    port.toBoard = (bytes) => {
      onTheWay += bytes.length;
      most = Math.max(most, onTheWay);
      setTimeout(() => {
        onTheWay -= bytes.length;
        toBoard(bytes);
      }, 3);
    };
    for (let k = 0; k < 30; k++) expect(await exchange(link)).toBe('ok');
    // Sense 32 bytes and Beat 8, each with id, checksum, one code byte and two delimiters; a spare delimiter each.
    expect(most).toBeGreaterThanOrEqual(38);
    expect(most).toBeLessThanOrEqual(39 + 2 * 15);
    expect(most).toBeLessThan(PORT_BUFFER_BYTES / 1000);
    await link.close();
  });

  it('tries a port that is in use again', async () => {
    const words: string[] = [];
    const port = boardPort({ refusals: ['NetworkError', 'NetworkError'] });
    const wire = await openWebSerialWire(port, { baud: BAUD, onWords: (each) => words.push(each) });
    expect(words).toEqual(['serial port: does not open yet; trying for 20 s']);
    await wire.close();
  });

  it('sets the lines that are named, and those alone', async () => {
    const port = boardPort();
    await (await openWebSerialWire(port, { baud: BAUD, dtr: false })).close();
    await (await openWebSerialWire(port, { baud: BAUD })).close();
    await (await openWebSerialWire(port, { baud: BAUD, dtr: true, rts: false })).close();
    expect(port.signals).toEqual([{ dataTerminalReady: false }, { dataTerminalReady: true, requestToSend: false }]);
  });

  it.each([
    ['NetworkError', 'Another program may have it open, or another tab'],
    ['NotSupportedError', 'it does not open with 921600 Bd'],
  ])('that does not open with %s says why', async (name, words) => {
    const port = boardPort({ refusals: [name] });
    const failure = await openWebSerialWire(port, { baud: BAUD, busy_s: 0 }).catch((error) => error);
    expect(failure).toBeInstanceOf(SetUpError);
    expect(failure.message).toContain(words);
    expect(port.closings).toBe(0);
  });

  it('that is open in this page says so', async () => {
    const port = boardPort();
    const { link } = await opened(port);
    await expect(openWebSerialWire(port, { baud: BAUD })).rejects.toThrow('this page has it open already');
    expect(await exchange(link)).toBe('ok'); // the attempt did not close it
    await link.close();
  });
});

describe('wrong baud rate', () => {
  it('is heard by a UART as other bytes and missing stop bits; a little off is heard right', () => {
    const bytes = Uint8Array.from({ length: 256 }, (_, k) => k);
    expect(heardAt(bytes, 115_200, 115_200).map((each) => each.byte)).toEqual([...bytes]);
    // The stop bit is sampled 9.5 bits after the start edge, found within 1/16 bit: half a bit of room is 5 %.
    for (const off of [0.96, 1.04]) {
      expect(heardAt(bytes, 115_200, 115_200 * off).map((each) => each.byte)).toEqual([...bytes]);
    }
    const wrong = heardAt(bytes, 115_200, 230_400);
    expect(wrong.filter((each) => each.error).length).toBeGreaterThan(50);
  });

  it('gives no Hello, and the words for it', async () => {
    const port = boardPort();
    const { toBoard } = port;
    const hear = port.hear.bind(port);
    port.toBoard = (bytes) => toBoard(Uint8Array.from(heardAt(bytes, BAUD, BAUD / 2), ({ byte }) => byte));
    const board = new ServedController(echoController(), (bytes) => {
      for (const { byte, error } of heardAt(bytes, BAUD / 2, BAUD))
        error ? port.fail(error) : hear(Uint8Array.of(byte));
    });
    const wire = await openWebSerialWire(port, { baud: BAUD });
    const opening = openSession(wire, { hello_s: 0.5 });
    board.sayHello(); // as a board does when it starts
    const failure = await opening.catch((error) => error);
    expect(failure).toBeInstanceOf(LinkLostError);
    expect(failure.message).toMatch(
      /no Hello within 0.5 s; \d+ bytes came.*[;,] \d+ FramingError .*; baud or wiring\?/,
    );
    expect(port.isOpen).toBe(false);
  });
});

describe('line trouble', () => {
  it('counts each name, takes one it does not know as unknown, and knows a burst by its last second', () => {
    const trouble = new LineTrouble();
    expect(trouble.words()).toBe('');
    for (const now_ms of [0, 300, 600, 900]) expect(trouble.note('FramingError', now_ms)).toBe(false);
    expect(trouble.note('toString', 1001)).toBe(false); // the first was more than a second ago
    expect(trouble.note('BreakError', 1200)).toBe(true);
    expect(trouble.note('BreakError', 1201)).toBe(false); // said once a burst
    expect(trouble.counts).toMatchObject({ FramingError: 4, BreakError: 2, UnknownError: 1 });
    expect(trouble.words()).toMatch(/^2 BreakError .*, 4 FramingError .*, 1 UnknownError .*; baud or wiring\?$/);
  });
});

describe('taking leave of a port', () => {
  const wireOf = (port: FakePort): WebSerialWire => new WebSerialWire(port, { baud: BAUD });
  const ear = { take: () => undefined, lose: () => undefined, progress: 'in a test' };
  /** Closes twice at once and once more; the port must be free for the next to open. */
  async function leave(wire: WebSerialWire, port: FakePort): Promise<void> {
    const begun = performance.now();
    await Promise.all([wire.close(), wire.close()]);
    await wire.close();
    expect(performance.now() - begun).toBeLessThan(3500);
    expect(port.isOpen).toBe(false);
    await port.open({ baudRate: BAUD, bufferSize: 255 });
    expect(port.readable?.locked).toBe(false);
    expect(port.writable?.locked).toBe(false);
  }

  it('works before it is opened', async () => {
    const port = new FakePort();
    await leave(wireOf(port), port);
    expect(port.closings).toBe(0);
  });

  it('works while it is being opened, and closes what then opens', async () => {
    const port = new FakePort({ openTakes_ms: 100 });
    const wire = wireOf(port);
    const opening = wire.open().catch((error) => error);
    await leave(wire, port);
    expect(await opening).toBeInstanceOf(SetUpError);
    expect((await opening).message).toContain('closed before it was open');
    expect(port.closings).toBe(1);
  });

  it('works while a port in use is tried again', async () => {
    const port = new FakePort({ refusals: Array(100).fill('NetworkError') });
    const wire = wireOf(port);
    const opening = wire.open().catch((error) => error);
    await new Promise((resolve) => setTimeout(resolve, 30));
    await wire.close();
    expect(await opening).toBeInstanceOf(SetUpError);
  });

  it('works when it is open and nobody listens yet', async () => {
    const port = new FakePort();
    const wire = wireOf(port);
    await wire.open();
    await leave(wire, port);
  });

  it.each([true, false])('works while it waits for bytes (stream of bytes: %s)', async (bytes) => {
    const port = new FakePort({ bytes });
    const wire = wireOf(port);
    await wire.open();
    wire.attach(ear);
    await new Promise((resolve) => setTimeout(resolve, 10));
    await leave(wire, port);
  });

  it('works while a write is under way that never ends', async () => {
    const port = new FakePort({ stuck: true });
    const wire = wireOf(port);
    await wire.open();
    wire.attach(ear);
    wire.send(Uint8Array.of(1));
    await new Promise((resolve) => setTimeout(resolve, 10));
    await leave(wire, port);
  });

  it('works between an error and the next stream', async () => {
    const port = new FakePort();
    const wire = wireOf(port);
    await wire.open();
    wire.attach(ear);
    port.fail('BreakError');
    await leave(wire, port);
  });

  it('works after the port has gone', async () => {
    const port = new FakePort();
    const wire = wireOf(port);
    const losses: string[] = [];
    await wire.open();
    wire.attach({ ...ear, lose: (cause) => losses.push(cause) });
    port.fail('NetworkError');
    await new Promise((resolve) => setTimeout(resolve, 10));
    expect(losses).toEqual(['closed']);
    await wire.close();
    expect(port.closings).toBe(1);
  });

  it('does not wait for ever for a port that does not close', async () => {
    const port = new FakePort({ closeHangs: true });
    const wire = wireOf(port);
    await wire.open();
    wire.attach(ear);
    const begun = performance.now();
    await wire.close();
    expect(performance.now() - begun).toBeLessThan(2500);
  });

  it('takes its farewell along', async () => {
    const port = boardPort();
    const { link } = await opened(port);
    const last: number[] = [];
    port.toBoard = (bytes) => last.push(bytes[2]); // delimiter, code byte, id
    await link.close();
    expect(last).toEqual([0x06]);
  });
});
