import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { SetUpError } from '../../src/links/errors.ts';
import { linkPlace } from '../../src/links/node-kinds.ts';
import {
  type Driver,
  type DriverPort,
  openSerialLink,
  openSerialWire,
  parseSerialPlace,
} from '../../src/links/node-serial.ts';
import { faultOf, portsHere } from '../../src/links/node-serial-help.ts';
import { OUTBOX_ROOM, Outbox } from '../../src/links/serial-outbox.ts';
import { ServedController } from '../../src/links/served.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { echoController } from './echo-controller.ts';

type Hear = (what: never) => void;

/** Stands for the package serialport: each opening takes the next of the failures, then a board answers. */
class FakeDriver {
  readonly opened: { path: string; baudRate: number; highWaterMark: number; hupcl: boolean }[] = [];
  readonly levels: { dtr: boolean; rts: boolean }[] = [];
  readonly writes: number[] = [];
  closed = 0;
  failures: string[];
  noLines = false;

  constructor(...failures: string[]) {
    this.failures = failures;
  }

  readonly load = async (): Promise<Driver> => {
    const driver = this;
    class SerialPort implements DriverPort {
      private readonly heard: Record<string, Hear> = {};
      private readonly board = new ServedController(echoController(), (bytes) =>
        this.heard.data?.(bytes.slice() as never),
      );

      constructor(settings: (typeof driver.opened)[0], opened: (error: Error | null) => void) {
        driver.opened.push(settings);
        const failure = driver.failures.shift();
        queueMicrotask(() => opened(failure === undefined ? null : new Error(failure)));
      }
      write(bytes: Uint8Array, done: () => void): void {
        driver.writes.push(bytes.length);
        setImmediate(() => {
          this.board.receiver.push(bytes);
          done();
        });
      }
      set(levels: { dtr: boolean; rts: boolean }, done: (error: Error | null) => void): void {
        driver.levels.push(levels);
        done(driver.noLines ? new Error('Inappropriate ioctl for device, cannot set') : null);
      }
      close(done: () => void): void {
        driver.closed++;
        done();
      }
      on(event: string, hear: Hear): void {
        this.heard[event] = hear;
      }
    }
    return { SerialPort };
  };
}

const open = (driver: FakeDriver, place = 'COM5', platform: NodeJS.Platform = 'linux', busy_s = 0) =>
  openSerialWire(place, { load: driver.load, platform, busy_s, onText: () => undefined });
const failureOf = async (opening: Promise<unknown>): Promise<Error> =>
  opening.then(
    () => new Error('it opened'),
    (e) => e,
  );

describe('serial place', () => {
  it.each([
    ['/dev/ttyACM0', { path: '/dev/ttyACM0', baud: 115_200 }],
    ['COM5', { path: 'COM5', baud: 115_200 }],
    ['/dev/ttyUSB0@921600', { path: '/dev/ttyUSB0', baud: 921_600 }],
    ['COM5@1200,dtr=off', { path: 'COM5', baud: 1200, dtr: false }],
    ['/dev/ttyUSB0@rts=on,dtr=off', { path: '/dev/ttyUSB0', baud: 115_200, dtr: false, rts: true }],
    ['/dev/serial/by-id/usb-a@b-if00@12000000', { path: '/dev/serial/by-id/usb-a@b-if00', baud: 12_000_000 }],
  ])('%s is read', (text, place) => {
    expect(parseSerialPlace(text)).toEqual(place);
    expect(linkPlace(`serial:${text}`)).toEqual({ kind: 'serial', what: text });
  });

  it.each([
    '',
    '@9600',
    'COM5@',
    'COM5@fast',
    'COM5@1199',
    'COM5@12000001',
    'COM5@9600,dtr',
    'COM5@9600,cts=on',
    'a\nb',
  ])('"%s" is refused with what is allowed', (text) => {
    expect(() => parseSerialPlace(text)).toThrow(SetUpError);
    expect(() => parseSerialPlace(text)).toThrow(
      'serial:PATH[@BAUD][,dtr=on|off][,rts=on|off] with 1200 to 12000000 Bd',
    );
  });
});

describe('serial port', () => {
  it('is opened with a small read buffer, and its lines are set only when they are named', async () => {
    const driver = new FakeDriver();
    await (await open(driver, '/x@9600')).close();
    await (await open(driver, '/x@dtr=off')).close();
    expect(driver.opened[0]).toEqual({ path: '/x', baudRate: 9600, highWaterMark: 8192, hupcl: true });
    expect(driver.opened[1]).toMatchObject({ baudRate: 115_200, hupcl: false });
    expect(driver.levels).toEqual([{ dtr: false, rts: true }]);
    expect(driver.closed).toBe(2);
  });

  it('is closed again when it has no lines to set', async () => {
    const driver = new FakeDriver();
    driver.noLines = true;
    const error = await failureOf(open(driver, 'COM5@rts=off'));
    expect(error).toBeInstanceOf(SetUpError);
    expect(error.message).toContain('leave dtr= and rts= out');
    expect(driver.closed).toBe(1);
  });

  it('that is in use is tried until it is free', async () => {
    const driver = new FakeDriver('Error Resource temporarily unavailable Cannot lock port', 'Device or resource busy');
    const wire = await open(driver, 'COM5', 'linux', 20);
    expect(driver.opened).toHaveLength(3);
    await wire.close();
  });

  it.each([
    ['Error: Permission denied, cannot open /dev/ttyACM0', 'linux', ['50-phantom-board.rules', 'dialout', 'udevadm']],
    ['Error: Permission denied, cannot open /dev/cu.x', 'darwin', ['you may not open it']],
    ['Error: No such file or directory, cannot open /dev/x', 'linux', ['there is no such port', 'plugged in']],
    ['Opening COM5: File not found', 'win32', ['there is no such port']],
    ['Opening COM5: Access denied', 'win32', ['another program has it open']],
    ['Error Resource temporarily unavailable Cannot lock port', 'linux', ['another program', 'modem manager']],
    ['Error: Inappropriate ioctl for device setting custom baud rate', 'linux', ['this is no serial port']],
    ['Error: unheard of', 'linux', ['it does not open: Error: unheard of']],
  ] as const)('that does not open with "%s" on %s is explained', async (message, platform, words) => {
    const error = await failureOf(open(new FakeDriver(message), '/dev/ttyACM0', platform));
    expect(error).toBeInstanceOf(SetUpError);
    for (const word of ['serial:/dev/ttyACM0: ', ...words]) expect(error.message).toContain(word);
  });

  it('needs a package that may be missing, and the message names it and what works without', async () => {
    // A module that cannot be resolved, as Node says it.
    const absent = 'phantom-no-such-package';
    const error = await failureOf(openSerialWire('COM5', { load: () => import(/* @vite-ignore */ absent) }));
    expect(error).toBeInstanceOf(SetUpError);
    for (const words of ['package serialport, which is not installed', 'exec:CMD', 'tcp:HOST:PORT', 'ws://HOST:PORT']) {
      expect(error.message).toContain(words);
    }
  });

  it('says so when the package has no part for this machine', async () => {
    const load = () =>
      Promise.reject(new Error('No native build was found for platform=linux arch=mips\nattempted...'));
    const error = await failureOf(openSerialWire('COM5', { load }));
    expect(error.message).toContain(`no part that runs on ${process.platform} ${process.arch} with Node`);
    expect(error.message).not.toContain('attempted');
  });

  it('carries the link, one write an exchange', async () => {
    const driver = new FakeDriver();
    const link = await openSerialLink('COM5', { load: driver.load, beat_s: 0 });
    expect(link.baud).toBe(115_200);
    const before = driver.writes.length;
    for (let tick = 0; tick < 10; tick++) {
      expect(await link.exchange({ ...blankSense(), tick }, blankDrive(1))).toBe('ok');
    }
    expect(driver.writes.length - before).toBe(10);
    await link.close();
  });
});

describe('faults of a port', () => {
  it('are told apart on a machine of their own', () => {
    expect(faultOf('Opening COM5: Access denied', 'win32')).toBe('busy');
    expect(faultOf('Access denied', 'linux')).toBe('denied');
    expect(faultOf('Error: Resource busy, cannot open /dev/cu.usbmodem1', 'darwin')).toBe('busy');
  });

  it('come with the ports that are here, found without the help of a tool', async () => {
    for (const path of await portsHere('linux')) expect(path).toMatch(/^\/dev\/tty/);
    expect(await portsHere('win32')).toEqual([]);
  });
});

describe('outbox of a serial line', () => {
  /** An outbox whose writes land when the test says so. */
  function rig() {
    const writes: Uint8Array[] = [];
    let done = (): void => undefined;
    const outbox = new Outbox((bytes, landed) => {
      writes.push(bytes.slice());
      done = landed;
    });
    return { outbox, writes, land: () => done() };
  }

  it.each([63, 64, 65, 127, 128, 511, 512, 513])('writes %i bytes so that the last packet is a short one', (length) => {
    const { outbox, writes } = rig();
    outbox.send(new Uint8Array(length).fill(7));
    const [written] = writes;
    expect(written.length % 64).not.toBe(0);
    expect([...written].filter((byte) => byte === 7)).toHaveLength(length);
    expect([...written.subarray(length)]).toEqual(length % 64 === 0 ? [0] : []);
    expect(outbox.padded).toBe(length % 64 === 0 ? 1 : 0);
  });

  it('pads frames that left together, though each alone was short', () => {
    const { outbox, writes, land } = rig();
    for (let k = 0; k < 3; k++) outbox.send(new Uint8Array(32).fill(1));
    land();
    expect(writes.map((each) => each.length)).toEqual([32, 65]);
  });

  it('keeps what it was given, though the sender uses its buffer again', () => {
    const { outbox, writes, land } = rig();
    const bytes = Uint8Array.of(1, 2, 3);
    outbox.send(bytes);
    bytes.fill(9);
    outbox.send(bytes);
    bytes.fill(5);
    land();
    expect(writes.map((each) => [...each])).toEqual([
      [1, 2, 3],
      [9, 9, 9],
    ]);
  });

  it('bounds what waits behind a line that takes nothing, and counts what it turns away', () => {
    const { outbox, writes, land } = rig();
    for (let k = 0; k < 1000; k++) outbox.send(new Uint8Array(40).fill(1));
    expect(outbox.unsent).toBe(1000 - 1 - Math.floor(OUTBOX_ROOM / 40));
    land();
    expect(writes[1].length).toBeLessThanOrEqual(OUTBOX_ROOM + 1);
  });

  it('carries one piece that is longer than its room when nothing waits', () => {
    const { outbox, writes, land } = rig();
    outbox.send(new Uint8Array(65_536).fill(3));
    expect(writes[0].length).toBe(65_537);
    land();
    outbox.send(Uint8Array.of(4));
    expect([...writes[1]]).toEqual([4]);
  });

  it('comes to rest when the last write has landed, and sends nothing once stopped', async () => {
    const { outbox, writes, land } = rig();
    outbox.send(Uint8Array.of(1));
    const rest = outbox.rest();
    land();
    await rest;
    await outbox.rest();
    outbox.stop();
    outbox.send(Uint8Array.of(2));
    expect(writes).toHaveLength(1);
  });
});

describe('udev rule', () => {
  const lines = readFileSync(new URL('../../src/board/50-phantom-board.rules', import.meta.url), 'utf8')
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'));

  it('lets the person at the machine open both kinds of port, and keeps the modem manager away', () => {
    const rules = lines.filter((line) => line.startsWith('KERNEL'));
    expect(rules.map((line) => /^KERNEL=="(\w+)\[/.exec(line)?.[1])).toEqual(['ttyACM', 'ttyUSB']);
    for (const rule of rules) {
      expect(rule).toContain('TAG+="uaccess"');
      expect(rule).toContain('ENV{ID_MM_DEVICE_IGNORE}="1"');
    }
  });

  it('jumps only to a label that it has', () => {
    const label = /LABEL="(\w+)"/.exec(lines.join('\n'))?.[1];
    for (const [, goal] of lines.join('\n').matchAll(/GOTO="(\w+)"/g)) expect(goal).toBe(label);
  });
});
