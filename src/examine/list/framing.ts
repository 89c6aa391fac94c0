/** Examinations of the receiver: frames in pieces, together, damaged, foreign, too long. */
import { acceptedByBoard } from '../../protocol/accepted.ts';
import { SENSE } from '../../protocol/frames.ts';
import { MessageReceiver } from '../../protocol/message.ts';
import { StreamReceiver } from '../../protocol/stream.ts';
import { type Examination, holds, judged, notExamined, toMend } from '../examination.ts';
import { Noise } from '../noise.ts';
import { Broken, type Subject } from '../subject.ts';

/** Wall time between two pieces, so that they arrive apart [s]. */
const GAP_S = 0.002;
/** And between two halves of a frame on a line that stutters [s]. */
const LONG_GAP_S = 0.2;

const WHOLE = 'messages arrive whole on this kind of link';
const RECEIVER = 'give every byte to phantom_receiver_push (or phantom_board_push), and keep its state between reads';

export const split: Examination = {
  id: 'split',
  title: 'A frame in two pieces',
  does: 'cuts a Sense at every byte and sends the two pieces apart, then one byte by byte, then with a long gap',
  expects: 'each is answered as if it had come whole',
  matters: 'UART interrupts, USB packets and TCP hand over bytes in pieces of any length',
  mend: `${RECEIVER}; never take one read for one frame, never reset on a pause; PROTOCOL.md`,
  async run(subject) {
    const { probe } = subject;
    if (!probe.stream) return notExamined(WHOLE);
    const faults: string[] = [];
    let cut = 1;
    for (let length = 2; cut < length && faults.length === 0; cut++) {
      const sense = subject.sense();
      const frame = probe.senseFrame(sense);
      length = frame.length;
      await inPieces(
        subject,
        [frame.subarray(0, cut), frame.subarray(cut)],
        GAP_S,
        `a Sense cut after byte ${cut}`,
        faults,
      );
    }
    if (faults.length > 0) return judged(faults, '');
    const each = Array.from(probe.senseFrame(subject.sense()), (byte) => Uint8Array.of(byte));
    await inPieces(subject, each, GAP_S, 'a Sense that comes byte by byte', faults);
    const frame = probe.senseFrame(subject.sense());
    const half = Math.floor(frame.length / 2);
    const halves = [frame.subarray(0, half), frame.subarray(half)];
    await inPieces(subject, halves, LONG_GAP_S, `a Sense with a gap of ${LONG_GAP_S} s inside`, faults);
    return judged(faults, `answered at all ${cut - 1} cuts, byte by byte, and with a gap of ${LONG_GAP_S} s inside`);
  },
};

async function inPieces(
  subject: Subject,
  pieces: readonly Uint8Array[],
  gap_s: number,
  what: string,
  faults: string[],
): Promise<void> {
  const { probe } = subject;
  const from = probe.heard.length;
  try {
    for (const [k, piece] of pieces.entries()) {
      if (k > 0) await probe.pause(gap_s);
      probe.send(piece.slice());
    }
    await subject.answerTo(subject.tick, from, performance.now(), what);
  } catch (error) {
    if (!(error instanceof Broken)) throw error;
    faults.push(error.message);
  }
}

/** Most frames that are sent together. */
const TOGETHER_MOST = 8;

export const merged: Examination = {
  id: 'merged',
  title: 'Several frames in one write',
  does: 'puts a Beat, as many Senses as Hello.credits allows and another Beat in one write',
  expects: 'every one is answered, the Senses in their order',
  matters: 'a Beat can fall together with a Sense at any time; a USB packet or a read then holds both',
  mend: `${RECEIVER}; go on with the bytes that are left in the buffer after a frame; PROTOCOL.md`,
  async run(subject) {
    const { probe, terms } = subject;
    probe.forget();
    const count = Math.min(TOGETHER_MOST, subject.hello.credits ?? 1);
    const senses = Array.from({ length: count }, () => subject.sense());
    probe.sendTogether([
      probe.beatFrame(1, 0),
      ...senses.map((sense) => probe.senseFrame(sense)),
      probe.beatFrame(2, 0),
    ]);
    await probe.until(() => (probe.drives.length >= count && probe.beats.length >= 2 ? 1 : undefined), terms.answer_s);
    const ticks = probe.drives.map(({ tick }) => tick);
    const faults: string[] = [];
    if (ticks.length < count) faults.push(`${ticks.length} of ${count} Senses in one write were answered`);
    else if (senses.some(({ tick }, k) => ticks[k] !== tick))
      faults.push(`the answers came as ticks ${ticks.join(', ')}`);
    if (probe.beats.length < 2) faults.push(`${probe.beats.length} of 2 Beats around them were answered`);
    if (probe.lost !== undefined) faults.push(`the link ended: ${probe.lost}`);
    return judged(faults, `${count === 1 ? 'a Sense' : `${count} Senses`} between two Beats, all answered`);
  },
};

/** Damaged frames that are sent. */
const DAMAGED = 40;

export const flipped: Examination = {
  id: 'flipped',
  title: 'Flipped bits',
  does: `sends ${DAMAGED} Senses with one bit turned over, a good one after each`,
  expects: 'silence about the damaged ones, an answer to each good one',
  matters: 'a long cable or a wrong clock turns bits over; acting on such a frame means acting on wrong currents',
  mend: 'check the CRC before anything else, drop and count what fails (phantom_receiver: bad_crc, bad_cobs); PROTOCOL.md',
  async run(subject) {
    const { probe } = subject;
    const noise = new Noise(0x5eed);
    const faults: string[] = [];
    probe.forget();
    for (let k = 0; k < DAMAGED && faults.length < 2; k++) {
      const bad = probe.senseFrame(subject.sense());
      const border = probe.stream ? 1 : 0; // a delimiter may be lost to noise as well, but then two frames suffer
      bad[border + noise.below(bad.length - 2 * border)] ^= 1 << noise.below(8);
      if (isGood(subject, bad)) continue;
      const badTick = subject.tick;
      probe.send(bad);
      await follow(subject, `the good Sense after damaged one ${k + 1}`, faults);
      if (probe.drives.some(({ tick }) => tick === badTick)) faults.push(`the damaged Sense ${k + 1} was answered`);
    }
    await probe.pause(subject.terms.settle_s);
    const good = probe.drives.length;
    return judged(faults, `no answer to ${DAMAGED} damaged Senses, ${good} answers to the good ones between them`);
  },
};

/** Whether a healthy receiver would take the bytes. */
function isGood({ probe }: Subject, bytes: Uint8Array): boolean {
  let frames = 0;
  const count = () => {
    frames++;
  };
  const Receiver = probe.stream ? StreamReceiver : MessageReceiver;
  new Receiver(acceptedByBoard(), count).push(bytes);
  return frames > 0;
}

/** A good Sense must be answered. */
async function follow(subject: Subject, what: string, faults: string[]): Promise<void> {
  try {
    await subject.ask(subject.sense(), what);
  } catch (error) {
    if (!(error instanceof Broken)) throw error;
    faults.push(error.message);
  }
}

/** Lengths of foreign bytes [bytes]. */
const FOREIGN = [1, 7, 63, 64, 300, 2000];

export const garbage: Examination = {
  id: 'garbage',
  title: 'Foreign bytes',
  does: 'sends noise, text, lone delimiters and half a frame, a good Sense after each',
  expects: 'silence about them, an answer to each good Sense',
  matters: 'a UART that starts at another rate, a boot loader, or a cable that was pulled half way leave such bytes',
  mend: 'a fixed buffer with a limit, start anew at each 0x00 (phantom_receiver: too_long, bad_cobs); PROTOCOL.md',
  async run(subject) {
    const { probe } = subject;
    const noise = new Noise(0x0dd);
    const text = new TextEncoder();
    const pieces: [string, Uint8Array][] = [
      ['text', text.encode('AT+RST\r\n')],
      ...FOREIGN.map((count): [string, Uint8Array] => [
        `${count} random byte${count === 1 ? '' : 's'}`,
        noise.bytes(count),
      ]),
      ['600 bytes 0x55', new Uint8Array(600).fill(0x55)],
      ['600 bytes 0xFF', new Uint8Array(600).fill(0xff)],
    ];
    if (probe.stream) {
      const frame = probe.senseFrame(subject.sense());
      pieces.push(['300 delimiters', new Uint8Array(300)], ['half a frame', frame.slice(0, frame.length / 2)]);
    }
    const faults: string[] = [];
    for (const [what, bytes] of pieces) {
      probe.send(bytes);
      await follow(subject, `the Sense after ${what}`, faults);
      if (faults.length > 0) return judged(faults, '');
    }
    return holds(
      `answered after ${pieces.length} kinds: text, noise of up to ${FOREIGN.at(-1)} bytes, ${pieces.at(-1)![0]}`,
    );
  },
};

/** Payload of a frame longer than any that the drill sends. */
const OVERSIZED = [600, 6000];
/** Id of no frame. */
const UNKNOWN_ID = 0x7e;

export const oversized: Examination = {
  id: 'oversized',
  title: 'Frames too long',
  does: `sends frames with a right checksum and ${OVERSIZED.join(' and ')} bytes, a good Sense after each`,
  expects: 'silence, then an answer to the good Sense',
  matters: 'a receiver without a limit writes past its buffer',
  mend: 'count what does not fit and wait for the next 0x00 (phantom_receiver: too_long); PROTOCOL.md',
  run: (subject) =>
    unanswered(
      subject,
      OVERSIZED.map((length) => [`a frame of ${length} bytes`, SENSE.id, new Uint8Array(length).fill(0xa5)]),
    ),
};

export const unknownFrame: Examination = {
  id: 'unknown-frame',
  title: 'Frames of another version',
  does: 'sends frames with a right checksum and an id that does not exist, and a Sense that is too short',
  expects: 'silence, then an answer to the good Sense',
  matters: 'a newer drill may send frames that this board does not know',
  mend: 'drop what has an unknown id or too few bytes (phantom_receiver: unknown_id, wrong_length); PROTOCOL.md',
  run: (subject) =>
    unanswered(subject, [
      ['an empty frame of an unknown id', UNKNOWN_ID, new Uint8Array(0)],
      ['a frame of an unknown id', UNKNOWN_ID, new Uint8Array(20).fill(3)],
      ['a Sense that is too short', SENSE.id, new Uint8Array(5).fill(1)],
    ]),
};

async function unanswered(subject: Subject, frames: readonly [what: string, id: number, payload: Uint8Array][]) {
  const { probe } = subject;
  for (const [what, id, payload] of frames) {
    probe.forget();
    probe.send(probe.frame(id, payload));
    const faults: string[] = [];
    await follow(subject, `the Sense after ${what}`, faults);
    await probe.pause(subject.terms.settle_s);
    if (probe.drives.some(({ tick }) => tick !== subject.tick)) faults.push(`${what} was answered with a Drive`);
    if (faults.length > 0) return toMend(faults.join('; '));
  }
  return holds(`nothing came back, and the Sense behind each was answered`);
}
