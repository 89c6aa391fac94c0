/** Examination of lengths at which USB packets end. */
import { BEAT, DRIVE, HELLO_ID } from '../../protocol/frames.ts';
import { type Examination, judged, notExamined, warning } from '../examination.ts';
import { Broken } from '../subject.ts';

/** Around one, two and eight USB packets of 64 bytes; 512 is the packet of high speed. */
const LENGTHS = [63, 64, 65, 127, 128, 129, 511, 512, 513];
const PACKET = 64;

export const sizes: Examination = {
  id: 'sizes',
  title: 'Writes of exactly n x 64 bytes',
  does: `sends a Sense filled up with 0x00 to ${LENGTHS.join(', ')} bytes, and counts the bytes of the answers`,
  expects: 'each is answered, and no answer takes a multiple of 64 bytes',
  matters: 'a USB transfer that ends on a full packet is not finished: it waits in the driver until the next one comes',
  mend: 'append a spare 0x00 to a frame of n x 64 bytes (phantom_board does), or send an empty packet behind it; USB.md',
  async run(subject) {
    const { probe, terms } = subject;
    if (!probe.stream) return notExamined('messages have borders of their own on this kind of link');
    const faults: string[] = [];
    for (const length of LENGTHS) {
      const sense = subject.sense();
      const frame = probe.senseFrame(sense);
      const filled = new Uint8Array(length);
      filled.set(frame, length - frame.length);
      try {
        await subject.askBytes(filled, sense.tick, `a Sense in a write of ${length} bytes`);
      } catch (error) {
        if (!(error instanceof Broken)) throw error;
        faults.push(error.message);
        if (probe.lost !== undefined) break;
      }
    }
    if (faults.length > 0) return judged(faults, '');

    const lengths: [string, number][] = [];
    const count = async (name: string, send: () => void, id: number) => {
      await probe.pause(terms.settle_s);
      probe.forget();
      const before = probe.bytes;
      send();
      await probe.until(() => probe.heard.find((each) => each.id === id), terms.answer_s);
      await probe.pause(terms.settle_s);
      lengths.push([name, probe.bytes - before]);
    };
    await count('Drive', () => probe.send(probe.senseFrame(subject.sense())), DRIVE.id);
    await count('Hello', () => probe.greet(), HELLO_ID);
    await count('Beat', () => probe.send(probe.beatFrame(3, 0)), BEAT.id);
    const full = lengths.filter(([, bytes]) => bytes > 0 && bytes % PACKET === 0);
    const saw = `sent up to ${LENGTHS.at(-1)} bytes; it sends ${lengths.map(([name, n]) => `${name} in ${n}`).join(', ')} bytes`;
    if (full.length === 0) return judged([], saw);
    const words = full.map(([name, n]) => `${name} takes exactly ${n} bytes on the wire`).join('; ');
    if (probe.wire.name.startsWith('serial:')) return judged([words], saw);
    return warning(`${words}; this kind of link does not mind, USB does`);
  },
};
