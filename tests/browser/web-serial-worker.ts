/** The worker side of the Web Serial test: a link over a port that the page lends. */
import { openSession } from '../../src/links/session.ts';
import { openWebSerialWire } from '../../src/links/web-serial.ts';
import { borrowPort } from '../../src/links/web-serial-lend.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';

const post = (message: unknown): void => (globalThis as unknown as DedicatedWorkerGlobalScope).postMessage(message);

async function run(channel: MessagePort): Promise<void> {
  const wire = await openWebSerialWire(borrowPort(channel), { name: 'lent port', baud: 115_200 });
  const link = await openSession(wire, { beat_s: 0 });
  const sense = blankSense();
  const drive = blankDrive(link.hello.watch.length);
  const go = async (count: number): Promise<void> => {
    for (let k = 0; k < count; k++) {
      sense.tick++;
      const result = await link.exchange(sense, drive);
      if (result !== 'ok') throw new Error(result.message);
    }
  };
  await go(50);
  post('fail');
  await new Promise((resolve) => setTimeout(resolve, 100));
  await go(50);
  const { answered } = link.counters;
  await link.close();
  const asks = typeof (navigator as { serial?: { requestPort?: unknown } }).serial?.requestPort;
  post({ uid: link.hello.uid, answered, errors: wire.lineErrors.counts, asks });
}

globalThis.onmessage = ({ data }: MessageEvent<MessagePort>) => {
  run(data).catch((error: Error) => post({ failure: error.message }));
};
