/** The C kit and the TypeScript side make the same bytes of the same values, and the same of the same noise. */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { acceptedByBoard } from '../../src/protocol/accepted.ts';
import { blankSense, encodeDrive, encodeGreet, encodeSense } from '../../src/protocol/codec.ts';
import { DRIVE, type Drive, GREET, HELLO_ID, POWER, REFUSE, SENSE, type Sense } from '../../src/protocol/frames.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { compileToWasm, kitSources, wasiCommand } from '../support/c-build.ts';
import { hex } from '../support/hex.ts';
import { seededBytes, seededInt } from '../support/seeded.ts';

const COUNTERS_ID = 0x7f;
let command = '';

beforeAll(async () => {
  const mirror = readFileSync(new URL('./mirror.c', import.meta.url), 'utf8');
  const sources = { ...kitSources(), 'mirror.c': mirror };
  command = wasiCommand(await compileToWasm('mirror', sources, ['phantom_framing.c', 'mirror.c']));
});

/** What the C program answers to a stream. */
function mirrored(stream: Uint8Array): Uint8Array {
  const { status, stdout, stderr } = spawnSync(command, { shell: true, input: stream, maxBuffer: 2 ** 26 });
  expect(`${status} ${stderr}`).toBe('0 ');
  return stdout;
}

function join(parts: readonly Uint8Array[]): Uint8Array {
  return new Uint8Array(Buffer.concat(parts));
}

const sender = new StreamSender(1024);
const senseFrame = (s: Sense) => sender.wrap(SENSE.id, encodeSense(s, sender.packet, PAYLOAD_AT)).slice();
const driveFrame = (d: Drive) => sender.wrap(DRIVE.id, encodeDrive(d, sender.packet, PAYLOAD_AT)).slice();
const greetFrame = (n: number) => sender.wrap(GREET.id, encodeGreet({ version: n }, sender.packet, PAYLOAD_AT)).slice();

function counters(packets: number, ...drops: number[]): Uint8Array {
  return sender.wrapCopy(COUNTERS_ID, new Uint8Array(Uint32Array.of(packets, ...drops).buffer)).slice();
}

/** The Drive that mirror.c builds from a Sense. */
function driveOf(s: Sense): Drive {
  const count = Math.min(s.trigger % 40, 32);
  return {
    tick: s.tick,
    gates: s.flags & 7,
    state: s.flags >> 8,
    trip: s.flags & 0xff,
    dutyA: s.ia,
    dutyB: s.ib,
    dutyC: s.ic,
    busy: s.link,
    watch: Float32Array.from({ length: count }, (_, k) => Math.fround(s.hallAge) / Math.fround(k + 3)),
  };
}

describe('C kit', () => {
  it('reads and writes 500 random frames as TypeScript does, byte for byte', () => {
    const draw = seededInt(31);
    const senses = Array.from({ length: 500 }, () => {
      const s = blankSense();
      for (const key of Object.keys(s) as (keyof Sense)[]) s[key] = draw(4) === 0 ? draw(2) * 0xffff : draw(0x10000);
      s.tick = draw(2 ** 32);
      return s;
    });
    const expected = join([
      ...senses.flatMap((s) => [senseFrame(s), driveFrame(driveOf(s))]),
      counters(500, 0, 0, 0, 0, 0),
    ]);
    expect(hex(mirrored(join(senses.map(senseFrame))))).toBe(hex(expected));
  });

  it('stuffs packets around the block limits of 254 and 508 bytes as TypeScript does', () => {
    const lengths = [0, 1, 250, 251, 252, 253, 254, 255, 256, 299, 300, 301, 504, 505, 506, 507, 508, 509, 510, 1024];
    const pattern = (n: number) => Uint8Array.from({ length: n }, (_, k) => (k % 300 === 299 ? 0 : 1 + (k % 255)));
    const expected = lengths.map((n) => sender.wrapCopy(HELLO_ID, pattern(n)).slice());
    const answer = mirrored(join(lengths.map(greetFrame)));
    expect(hex(answer)).toBe(hex(join([...expected, counters(lengths.length, 0, 0, 0, 0, 0)])));
  });

  it('drops the same bytes of a noisy stream for the same causes', () => {
    const draw = seededInt(77);
    const frames = Array.from({ length: 3000 }, (_, k) => {
      const frame = senseFrame({ ...blankSense(), tick: k, ia: draw(0x10000) });
      const kind = draw(8);
      if (kind === 0) frame[draw(frame.length)] ^= 1 << draw(8);
      if (kind === 1) return join([frame, seededBytes(k, draw(60))]);
      if (kind === 2) return frame.subarray(0, draw(frame.length));
      if (kind === 3) {
        const id = draw(2) === 0 ? draw(256) : [SENSE.id, GREET.id, POWER.id, REFUSE.id][draw(4)];
        return sender.wrapCopy(id, seededBytes(k, draw(40))).slice();
      }
      if (kind === 4) return seededBytes(k, 260).map((byte) => byte || 1);
      return frame;
    });
    const stream = join(frames);
    const taken: Uint8Array[] = [];
    let others = 0;
    const receiver = new StreamReceiver(acceptedByBoard(), (id, bytes) => {
      // mirror.c answers with the Sense as it knows it: without what a newer drill may have appended
      if (id === SENSE.id) taken.push(bytes.slice(0, PAYLOAD_AT + SENSE.bytes));
      else others++;
    });
    receiver.push(stream);
    const { badCrc, tooLong, badCobs, wrongLength, unknownId } = receiver.drops;
    for (const n of [badCrc, tooLong, badCobs, wrongLength, unknownId]) expect(n).toBeGreaterThan(10);
    expect(taken.length).toBeGreaterThan(1500);

    const theirs: Uint8Array[] = [];
    let tail = new Uint8Array(0);
    const listener = new StreamReceiver(
      [
        { id: SENSE.id, least: SENSE.bytes, most: SENSE.bytes },
        { id: COUNTERS_ID, least: 24, most: 24 },
      ],
      (id, bytes, length) => {
        if (id === COUNTERS_ID) tail = bytes.slice(PAYLOAD_AT, PAYLOAD_AT + length);
        else theirs.push(bytes.slice(0, PAYLOAD_AT + length));
      },
    );
    listener.push(mirrored(stream));
    expect(theirs.map(hex)).toEqual(taken.map(hex));
    const counts = Array.from(new Uint32Array(tail.buffer));
    expect(others).toBeGreaterThan(10);
    expect(counts).toEqual([taken.length + others, badCrc, tooLong, badCobs, wrongLength, unknownId]);
  });
});
