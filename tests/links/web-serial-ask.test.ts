/** Choosing a port in the window, finding it again in a worker, and lending it to one. */
import { afterEach, describe, expect, it } from 'vitest';
import { SetUpError } from '../../src/links/errors.ts';
import { rejoin } from '../../src/links/rejoin.ts';
import { ServedController } from '../../src/links/served.ts';
import { openSession } from '../../src/links/session.ts';
import { openWebSerialWire, type WebPort } from '../../src/links/web-serial.ts';
import {
  askForPort,
  CHOOSER_HELP,
  type GrantedPort,
  onPlugged,
  portsLike,
  type SerialHub,
  serialHub,
} from '../../src/links/web-serial-ask.ts';
import { borrowPort, type Channel, lendPort } from '../../src/links/web-serial-lend.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';
import { echoController } from './echo-controller.ts';
import { FakePort } from './web-serial-port.ts';

function boardPort(...look: ConstructorParameters<typeof FakePort>): FakePort {
  const port = new FakePort(...look);
  const board = new ServedController(echoController(), (bytes) => {
    const copy = bytes.slice();
    setImmediate(() => port.hear(copy));
  });
  port.toBoard = (bytes) => board.receiver.push(bytes);
  return port;
}

/** navigator.serial with the ports that were granted. */
class Hub extends EventTarget implements SerialHub {
  ports: GrantedPort[] = [];
  readonly asked: object[] = [];
  answer: () => Promise<GrantedPort>;
  constructor(answer: () => Promise<GrantedPort>) {
    super();
    this.answer = answer;
  }
  requestPort(options: object): Promise<GrantedPort> {
    this.asked.push(options);
    return this.answer();
  }
  getPorts = async (): Promise<GrantedPort[]> => this.ports;
}
const refusing = (name: string): Hub =>
  new Hub(() => Promise.reject(new DOMException('Must be handling a gesture', name)));

describe('choosing a port', () => {
  it('asks before the call returns, so that the click still counts', () => {
    const hub = new Hub(async () => new FakePort());
    void askForPort(hub, [{ usbVendorId: 0x1234 }]);
    expect(hub.asked).toEqual([{ filters: [{ usbVendorId: 0x1234 }] }]);
    void askForPort(hub);
    expect(hub.asked[1]).toEqual({});
  });

  it('gives the port, or nothing when none was chosen', async () => {
    const port = new FakePort();
    expect(await askForPort(new Hub(async () => port))).toBe(port);
    expect(await askForPort(refusing('NotFoundError'))).toBeUndefined();
  });

  it('explains a browser that does not allow it', async () => {
    const failure = await askForPort(refusing('SecurityError')).catch((error) => error);
    expect(failure).toBeInstanceOf(SetUpError);
    expect(failure.message).toContain('only within a click');
    expect(failure.message).toContain('Permissions-Policy: serial');
    await expect(askForPort(refusing('TypeError'))).rejects.toThrow('Must be handling a gesture');
  });

  it('is for the window: a worker, which has no such call, says so', async () => {
    const { getPorts } = new Hub(async () => new FakePort());
    const hub = { getPorts, addEventListener: () => undefined, removeEventListener: () => undefined };
    await expect(askForPort(hub)).rejects.toThrow('in the window, not in a worker');
  });

  it('knows Web Serial by its presence alone, and names the other way in', () => {
    const hub = new Hub(async () => new FakePort());
    expect(serialHub({ serial: hub, userAgent: 'anything' })).toBe(hub);
    expect(() => serialHub({ userAgent: 'anything' })).toThrow('a browser with Web Serial is needed');
    expect(() => serialHub({})).toThrow('npm run sim -- bridge serial:PATH');
  });

  it('has words for an empty list on each system', () => {
    const text = CHOOSER_HELP.join('\n');
    for (const word of ['50-phantom-board.rules', 'dialout', 'uucp', 'raw-usb', '/run/udev', 'bridge']) {
      expect(text).toContain(word);
    }
  });
});

describe('finding a port again', () => {
  const info = { usbVendorId: 1, usbProductId: 2 };

  it('takes those with the same numbers, which may be several', async () => {
    const hub = new Hub(async () => new FakePort());
    hub.ports = [
      new FakePort({ info }),
      new FakePort(),
      new FakePort({ info: { usbVendorId: 1 } }),
      new FakePort({ info }),
    ];
    expect(await portsLike(hub, info)).toEqual([hub.ports[0], hub.ports[3]]);
    expect(await portsLike(hub, {})).toEqual([hub.ports[1]]);
  });

  it('joins the board behind a new object when it is plugged in again', async () => {
    const hub = new Hub(async () => new FakePort());
    const open = async () =>
      (await hub.getPorts()).map((port, k) => ({
        name: `port ${k}`,
        open: async () => openSession(await openWebSerialWire(port, { baud: 115_200, busy_s: 0 }), { hello_s: 0.3 }),
      }));
    setTimeout(() => {
      hub.ports = [boardPort()];
      hub.dispatchEvent(new Event('connect'));
    }, 30);
    const result = await rejoin(HELLO_SAMPLE, open, { within_s: 20, onHint: (hear) => onPlugged(hub, hear) });
    expect(result.outcome).toBe('joined');
    if (result.outcome !== 'joined') return;
    expect(await result.link.exchange(blankSense(), blankDrive(1))).toBe('ok');
    await result.link.close();
  });

  it('asks the person when two equal boards say the same', async () => {
    const hub = new Hub(async () => new FakePort());
    hub.ports = [boardPort({ info }), boardPort({ info })];
    const places = async () =>
      (await portsLike(hub, info)).map((port, k) => ({
        name: `port ${k}`,
        open: async () => openSession(await openWebSerialWire(port, { baud: 115_200 })),
      }));
    expect(await rejoin(HELLO_SAMPLE, places)).toMatchObject({
      outcome: 'ask the person',
      names: ['port 0', 'port 1'],
    });
    for (const port of hub.ports as FakePort[]) expect(port).toMatchObject({ isOpen: false, closings: 1 });
  });
});

describe('a port lent to another thread', () => {
  let channel: MessageChannel;
  afterEach(() => channel.port1.close());

  function borrowed(port: WebPort): WebPort {
    channel = new MessageChannel();
    lendPort(port, channel.port1 as unknown as Channel);
    return borrowPort(channel.port2 as unknown as Channel);
  }

  it('carries the link over its transferred streams, and closes at both ends', async () => {
    const port = boardPort();
    const link = await openSession(await openWebSerialWire(borrowed(port), { baud: 115_200, dtr: false }));
    for (let tick = 0; tick < 50; tick++) {
      expect(await link.exchange({ ...blankSense(), tick }, blankDrive(1))).toBe('ok');
    }
    expect(port.openings).toEqual([{ baudRate: 115_200, bufferSize: 262_144 }]);
    expect(port.signals).toEqual([{ dataTerminalReady: false }]);
    await link.close();
    expect(port).toMatchObject({ isOpen: false, closings: 1 });
  });

  // Node of today does not carry the name of a DOMException from one thread to another; a browser does.
  it('goes on with the next stream after a line error', async () => {
    const port = boardPort();
    const wire = await openWebSerialWire(borrowed(port), { baud: 115_200 });
    const link = await openSession(wire, { beat_s: 0 });
    expect(await link.exchange({ ...blankSense(), tick: 1 }, blankDrive(1))).toBe('ok');
    port.fail('FramingError');
    for (let tick = 2; tick < 10; tick++) {
      expect(await link.exchange({ ...blankSense(), tick }, blankDrive(1))).toBe('ok');
    }
    expect(Object.values(wire.lineErrors.counts).reduce((a, b) => a + b)).toBe(1);
    await link.close();
  });

  it('is lost when the port has gone', async () => {
    const port = boardPort();
    const wire = await openWebSerialWire(borrowed(port), { baud: 115_200 });
    const link = await openSession(wire, { beat_s: 0, answer_s: 3 });
    port.toBoard = () => port.fail('NetworkError', 'The device has been lost.');
    expect(await link.exchange(blankSense(), blankDrive(1))).toMatchObject({ cause: 'closed' });
    await link.close();
  });

  it('that does not open says why in the other thread too', async () => {
    const port = new FakePort({ refusals: ['NotSupportedError'] });
    await expect(openWebSerialWire(borrowed(port), { baud: 115_200 })).rejects.toThrow(
      'it does not open with 115200 Bd',
    );
  });
});
