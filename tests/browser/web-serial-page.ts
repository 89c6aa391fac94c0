/**
 * The page side of the Web Serial test: links over objects with the shape of a SerialPort. What is written to such a port goes
 * over a WebSocket to the test, which puts it on a real pty; what comes back is heard as a UART of the rate that the port was
 * opened with hears it.
 */
import type { LinkLoss, LockStepLink } from '../../src/links/link.ts';
import { rejoin } from '../../src/links/rejoin.ts';
import { openSession } from '../../src/links/session.ts';
import { openWebSerialWire, type WebSerialWire } from '../../src/links/web-serial.ts';
import { onPlugged, type SerialHub } from '../../src/links/web-serial-ask.ts';
import { lendPort } from '../../src/links/web-serial-lend.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { heardAt } from '../links/uart.ts';
import { FakePort } from '../links/web-serial-port.ts';

/** Rate at which the board sends and listens [Bd]. */
const BOARD_BD = 115_200;

/** A port whose line ends at the pty of the test. */
async function plugged(address: string): Promise<FakePort> {
  const port = new FakePort();
  const socket = new WebSocket(address);
  socket.binaryType = 'arraybuffer';
  await new Promise((resolve, reject) => {
    socket.onopen = resolve;
    socket.onerror = () => reject(new Error(`${address} does not answer`));
  });
  const rate_Bd = (): number => port.openings[port.openings.length - 1].baudRate;
  port.toBoard = (bytes) => socket.send(Uint8Array.from(heardAt(bytes, rate_Bd(), BOARD_BD), ({ byte }) => byte));
  socket.onmessage = ({ data }: MessageEvent<ArrayBuffer>) => {
    if (!port.isOpen) return;
    const good: number[] = [];
    for (const { byte, error } of heardAt(new Uint8Array(data), BOARD_BD, rate_Bd())) {
      if (!error) {
        good.push(byte);
        continue;
      }
      port.hear(Uint8Array.from(good.splice(0)));
      port.fail(error);
    }
    port.hear(Uint8Array.from(good));
  };
  socket.onclose = () => port.fail('NetworkError', 'The device has been lost.');
  return port;
}

/** What stands for navigator.serial: the ports that are plugged in. */
class Hub extends EventTarget implements SerialHub {
  ports: FakePort[] = [];
  getPorts = async (): Promise<FakePort[]> => this.ports;
}

const hub = new Hub();
const said: string[] = [];
let port: FakePort;
let wire: WebSerialWire;
let link: LockStepLink;
let tick = 0;

async function exchanges(count: number): Promise<'ok' | LinkLoss> {
  const sense = blankSense();
  const drive = blankDrive(link.hello.watch.length);
  for (let k = 0; k < count; k++) {
    sense.tick = ++tick;
    const result = await link.exchange(sense, drive);
    if (result !== 'ok') return result;
    if (drive.tick !== tick) throw new Error(`tick ${drive.tick} came for ${tick}`);
  }
  return 'ok';
}

const bench = {
  said,
  async open(address: string, baud: number): Promise<{ hello: object; roundTrip: object | undefined }> {
    port = await plugged(address);
    hub.ports = [port];
    wire = await openWebSerialWire(port, { name: 'port', baud, onWords: (words) => said.push(words) });
    link = await openSession(wire, { beat_s: 0, hello_s: 3 });
    return { hello: link.hello, roundTrip: link.roundTrip };
  },
  /** The words with which opening fails. */
  openFails: (address: string, baud: number): Promise<string> =>
    bench.open(address, baud).then(
      () => 'it opened',
      (error: Error) => error.message,
    ),
  exchanges,
  /** A line error, with bytes lost before it when it is an overrun. */
  fail(name: string): void {
    port.hear(Uint8Array.of(0x07, 0x10));
    port.fail(name);
  },
  counters: () => ({
    errors: wire.lineErrors.counts,
    words: wire.trouble(),
    answered: link.counters.answered,
    bytes: link.counters.bytes,
    drops: link.counters.drops,
  }),
  portIsOpen: () => port.isOpen,
  close: () => link.close(),
  /** Waits for the same board to come back on any port. */
  async rejoin(): Promise<object> {
    const old = port;
    const places = async () =>
      hub.ports.map((each, k) => ({
        name: `port ${k}`,
        open: async () => {
          wire = await openWebSerialWire(each, { baud: BOARD_BD, busy_s: 0 });
          return openSession(wire, { beat_s: 0, hello_s: 2 });
        },
      }));
    const result = await rejoin(link.hello, places, { within_s: 20, onHint: (hear) => onPlugged(hub, hear) });
    if (result.outcome === 'joined') link = result.link;
    return { outcome: result.outcome, uid: link.hello.uid, another: hub.ports[0] !== old };
  },
  /** A new port object appears. */
  async plugIn(address: string): Promise<void> {
    port = await plugged(address);
    hub.ports = [port];
    hub.dispatchEvent(new Event('connect'));
  },
  unplug(): void {
    hub.ports = [];
  },
  /** Lends a port to a worker, which runs the link over its streams; what the worker reports. */
  async inWorker(address: string, workerSource: string): Promise<object> {
    port = await plugged(address);
    const worker = new Worker(URL.createObjectURL(new Blob([workerSource], { type: 'text/javascript' })));
    const { port1, port2 } = new MessageChannel();
    lendPort(port, port1);
    const report = new Promise<object>((resolve, reject) => {
      worker.onmessage = ({ data }) => {
        if (data === 'fail') port.fail('FramingError');
        else resolve(data);
      };
      worker.onerror = ({ message }) => reject(new Error(message));
    });
    worker.postMessage(port2, [port2]);
    const data = await report;
    worker.terminate();
    return { ...data, isOpen: port.isOpen };
  },
};

export type SerialBench = typeof bench;
Object.assign(globalThis, { serialBench: bench });
