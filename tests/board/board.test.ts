/**
 * The board's side of a link in C, seen from outside: what goes out for what comes in, and in which pieces.
 *
 * 64 bytes  full-speed bulk packets of USB: Universal Serial Bus Specification 2.0, section 5.8.3: a transfer ends with a
 *           packet that is not full, or of no bytes (from memory).
 */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { acceptedByHost } from '../../src/protocol/accepted.ts';
import {
  blankDrive,
  blankReport,
  blankScene,
  blankSense,
  decodeBeat,
  decodeBye,
  decodeDrive,
  decodeNote,
  decodeReport,
  encodeBeat,
  encodeBye,
  encodeGreet,
  encodePower,
  encodeRefuse,
  encodeScene,
  encodeSense,
  encodeWelcome,
} from '../../src/protocol/codec.ts';
import * as F from '../../src/protocol/frames.ts';
import { decodeHello } from '../../src/protocol/hello.ts';
import { MessageReceiver, MessageSender } from '../../src/protocol/message.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { compileToWasm, kitSources, wasiCommand } from '../support/c-build.ts';

let program = '';
beforeAll(async () => {
  const sources = { ...kitSources(), 'probe.c': readFileSync(new URL('./board-probe.c', import.meta.url), 'utf8') };
  const units = ['phantom_framing.c', 'phantom_hello.c', 'phantom_board.c', 'probe.c'];
  program = await compileToWasm('board-probe', sources, units);
});

const stream = new StreamSender(1024);
const message = new MessageSender(1024);
/** One frame for the board, stuffed or bare. */
type Put = (sender: StreamSender | MessageSender) => Uint8Array;
const of =
  (id: number, encode: (packet: Uint8Array, at: number) => number): Put =>
  (sender) =>
    sender.wrap(id, encode(sender.packet, PAYLOAD_AT)).slice();
const greet = of(F.GREET.id, (p, at) => encodeGreet({ version: F.PROTOCOL_VERSION }, p, at));
const sense = (s: Partial<F.Sense>) => of(F.SENSE.id, (p, at) => encodeSense({ ...blankSense(), ...s }, p, at));
const power = (levels: number) => of(F.POWER.id, (p, at) => encodePower({ tick: 1, levels }, p, at));
const bye = of(F.BYE.id, (p, at) => encodeBye({ reason: F.BYE_DONE }, p, at));
const beat = (number: number, levels = 0) => of(F.BEAT.id, (p, at) => encodeBeat({ number, levels, clock: 9 }, p, at));

interface Frame {
  readonly id: number;
  readonly payload: Uint8Array;
}
interface Run {
  /** Every put, as it came. */ readonly puts: Uint8Array[];
  /** The frames in them; one a put, or the run fails. */ readonly frames: Frame[];
  /** What the program says at its end, by its first word. */ readonly said: Record<string, string>;
}

function run(frames: readonly Put[], ...options: string[]): Run {
  const bare = options.includes('--messages');
  const input = Buffer.concat(
    frames.map((each) => {
      const bytes = each(bare ? message : stream);
      return bare ? Buffer.concat([Uint8Array.of(bytes.length & 255, bytes.length >> 8), bytes]) : bytes;
    }),
  );
  const { status, stdout } = spawnSync(wasiCommand(program, ...options), { shell: true, input, maxBuffer: 2 ** 24 });
  expect(status).toBe(0);
  const puts: Uint8Array[] = [];
  let at = 0;
  for (let size = stdout.readUInt16LE(at); size > 0; size = stdout.readUInt16LE(at)) {
    puts.push(new Uint8Array(stdout.subarray(at + 2, at + 2 + size)));
    at += 2 + size;
  }
  const lines = stdout
    .subarray(at + 2)
    .toString('utf8')
    .trim()
    .split('\n');
  const said = Object.fromEntries(lines.map((line) => [line.split(' ')[0], line.slice(line.indexOf(' ') + 1)]));
  const taken = puts.map((bytes) => {
    const inside: Frame[] = [];
    const hear = (id: number, packet: Uint8Array, length: number) =>
      inside.push({ id, payload: packet.slice(PAYLOAD_AT, PAYLOAD_AT + length) });
    const receiver = bare ? new MessageReceiver(acceptedByHost(2), hear) : new StreamReceiver(acceptedByHost(2), hear);
    receiver.push(bytes);
    expect(inside.length, 'frames in one put').toBe(1);
    return inside[0];
  });
  return { puts, frames: taken, said };
}

const ids = ({ frames }: Run) => frames.map(({ id }) => id);
function drive({ id, payload }: Frame): F.Drive {
  const d = blankDrive(2);
  expect(id).toBe(F.DRIVE.id);
  expect(decodeDrive(payload, d, 0, payload.length)).toBe('ok');
  return d;
}
function noteText({ id, payload }: Frame): string {
  const note = { level: 0, text: '' };
  expect(id).toBe(F.NOTE.id);
  expect(decodeNote(payload, note, 0, payload.length)).toBe('ok');
  return note.text;
}

describe.each([['stream', []] as const, ['messages', ['--messages']] as const])('board over %s', (_, options) => {
  it('says Hello unasked and at each Greet, and Bye when it ends', () => {
    const result = run([greet, greet], ...options);
    expect(ids(result)).toEqual([F.HELLO_ID, F.HELLO_ID, F.HELLO_ID, F.BYE.id]);
    expect(decodeHello(result.frames[2].payload)).toMatchObject({ hello: { board: 'probe', uid: '1', bits: 12 } });
    const farewell = { reason: 0 };
    decodeBye(result.frames[3].payload, farewell, 0, 4);
    expect(farewell.reason).toBe(F.BYE_FAULT);
  });

  it('answers each Sense with one Drive of its tick, also where the controller would not', () => {
    const result = run([sense({ tick: 7, ia: 1234 }), sense({ tick: 2 ** 32 - 1, trigger: 300 })], ...options);
    expect(ids(result)).toEqual([F.HELLO_ID, F.DRIVE.id, F.DRIVE.id, F.BYE.id]);
    expect(drive(result.frames[1])).toMatchObject({ tick: 7, gates: 0, dutyA: 1234 });
    expect(drive(result.frames[2])).toMatchObject({ tick: 2 ** 32 - 1, gates: 0 });
    expect(Array.from(drive(result.frames[2]).watch)).toEqual([2, 0]);
  });

  it('answers a repeated Sense with the same Drive, and does not take it for time', () => {
    const again = sense({ tick: 4, ia: 5 });
    const result = run([again, again, again, sense({ tick: 4, ia: 6 }), sense({ tick: 5 })], ...options);
    const drives = result.frames.slice(1, 6).map(drive);
    expect(drives.map((d) => d.watch[0])).toEqual([1, 1, 1, 2, 3]);
    expect(drives[2]).toEqual(drives[0]);
    expect(result.said).toMatchObject({ repeated: '2', answered: '5' });
  });

  it('counts the same Sense anew after a Greet and after a change of supply', () => {
    const same = sense({ tick: 4 });
    const drives = run([same, greet, same, power(F.POWER_ON), same], ...options).frames.filter(
      (f) => f.id === F.DRIVE.id,
    );
    expect(drives.map((f) => drive(f).watch[0])).toEqual([1, 2, 3]);
  });

  it('keeps a Welcome and the words of a Refuse', () => {
    const welcome = of(F.WELCOME.id, (p, at) =>
      encodeWelcome({ version: 3, coupling: F.COUPLING_LOCK_STEP, credits: 1, tick: 50_000, patience: 2000 }, p, at),
    );
    const text = 'pwm_Hz 16000 does not fit';
    const refuse = of(F.REFUSE.id, (p, at) => encodeRefuse({ version: 3, reason: F.REFUSE_MISFIT, text }, p, at));
    // The program says Bye at its end, which ends the Welcome.
    expect(run([welcome], ...options).said).toMatchObject({ welcomed: '0 50000 2000', refused: '0 ' });
    expect(run([welcome, refuse], ...options).said).toMatchObject({ refused: `1 ${text}` });
    expect(run([refuse, greet], ...options).said.refused).toBe(`0 ${text}`);
  });

  it('answers a Beat that asks with its number and the clock of the board, and no other', () => {
    const result = run([beat(77), beat(78, F.BEAT_ANSWER)], ...options);
    expect(ids(result)).toEqual([F.HELLO_ID, F.BEAT.id, F.BYE.id]);
    const answer = { number: 0, levels: 0, clock: 0 };
    decodeBeat(result.frames[1].payload, answer, 0, 8);
    expect(answer).toEqual({ number: 77, levels: F.BEAT_ANSWER, clock: 123456 });
    expect(result.said.beats).toBe('1');
  });

  it('tells the controller when the supply goes and when the link ends; then it is deaf until the next Greet', () => {
    const frames = [
      power(F.POWER_ON),
      power(0),
      sense({ tick: 1 }),
      bye,
      sense({ tick: 2 }),
      greet,
      sense({ tick: 3 }),
    ];
    const result = run(frames, ...options);
    expect(ids(result)).toEqual([F.HELLO_ID, F.DRIVE.id, F.HELLO_ID, F.DRIVE.id, F.BYE.id]);
    expect(Array.from(drive(result.frames[1]).watch)).toEqual([1, 1]);
    expect(drive(result.frames[3])).toMatchObject({ tick: 3 });
    expect(Array.from(drive(result.frames[3]).watch)).toEqual([2, 2]);
  });

  it('answers a Scene with a Report of its number when it has such a loop, else not', () => {
    const asked = of(F.SCENE.id, (p, at) => encodeScene({ ...blankScene(), number: 65535, push: 0.25 }, p, at));
    expect(ids(run([asked], ...options))).toEqual([F.HELLO_ID, F.BYE.id]);
    const [, frame] = run([asked], '--scene', ...options).frames;
    const report = blankReport(2);
    expect(frame.id).toBe(F.REPORT.id);
    expect(decodeReport(frame.payload, report, 0, frame.payload.length)).toBe('ok');
    expect(report).toMatchObject({ number: 65535, torque: 0.5 });
  });

  it('sends the Note of a tick before its Drive, cut to 200 bytes at the end of a character', () => {
    const result = run(
      [sense({ tick: 1, trigger: 199 }), sense({ tick: 2, trigger: 201 }), sense({ tick: 3, trigger: 301 })],
      ...options,
    );
    expect(ids(result).slice(1, 7)).toEqual([F.NOTE.id, F.DRIVE.id, F.NOTE.id, F.DRIVE.id, F.NOTE.id, F.DRIVE.id]);
    expect(noteText(result.frames[1])).toBe('n'.repeat(199));
    expect(noteText(result.frames[3])).toBe('n'.repeat(200));
    // One byte and 66 characters of three are 199 bytes; the next would end at 202.
    expect(noteText(result.frames[5])).toBe(`n${'\u20ac'.repeat(66)}`);
  });

  it('says in a Note that its Hello does not fit', () => {
    const result = run([], 'u'.repeat(256), ...options);
    expect(ids(result)).toEqual([F.NOTE.id, F.BYE.id]);
    expect(noteText(result.frames[0])).toContain('PHANTOM_HELLO_MOST');
    expect(result.said.said).toBe('0');
  });
});

describe('board over a stream', () => {
  it('never puts a multiple of 64 bytes, and a spare delimiter only in its place', () => {
    const notes = Array.from({ length: 200 }, (_, k) => sense({ tick: k, trigger: k + 1 }));
    const { puts } = run(notes);
    const hello = (uid: number) => run([], 'u'.repeat(uid)).puts[0];
    const missing = 63 - ((hello(1).length - 1) % 64);
    const hellos = [missing, missing + 1, missing + 2].map(hello);
    let spared = 0;
    for (const bytes of [...puts, ...hellos]) {
      expect(bytes.length % 64).not.toBe(0);
      expect([bytes[0], bytes[bytes.length - 1]]).toEqual([0, 0]);
      const spare = bytes[bytes.length - 2] === 0;
      expect(spare).toBe((bytes.length - Number(spare)) % 64 === 0);
      if (spare) spared++;
    }
    // Notes of 1 to 200 bytes cross 64, 128 and 192 on the wire, Hellos of three lengths in a row one multiple.
    expect(spared).toBe(4);
  });

  it('takes up again after a damaged frame', () => {
    const damaged: Put = (sender) => {
      const bytes = sense({ tick: 1, ia: 0x1234 })(sender);
      bytes[10] ^= 4;
      return bytes;
    };
    const result = run([damaged, sense({ tick: 2 })]);
    expect(ids(result)).toEqual([F.HELLO_ID, F.DRIVE.id, F.BYE.id]);
    expect(result.said.badCrc).toBe('1');
  });
});

describe('board over messages', () => {
  it('drops a message longer than any frame, one without bytes, and one with a wrong checksum', () => {
    const long: Put = () => new Uint8Array(400).fill(F.SENSE.id);
    const empty: Put = () => new Uint8Array(0);
    const damaged: Put = (sender) => {
      const bytes = sense({ tick: 1 })(sender);
      bytes[4] ^= 1;
      return bytes;
    };
    const result = run([long, empty, damaged, sense({ tick: 2 })], '--messages');
    expect(ids(result)).toEqual([F.HELLO_ID, F.DRIVE.id, F.BYE.id]);
    expect(result.said).toMatchObject({ tooLong: '1', badCrc: '1' });
  });
});
