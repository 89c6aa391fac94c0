import { describe, expect, it } from 'vitest';
import { GIVE_UP, openRateSplit, RATE_SPLIT_TIMES, type RateSplitLink } from '../../src/links/rate-split.ts';
import { ServedPaced } from '../../src/links/served-paced.ts';
import type { Ear, Wire } from '../../src/links/wire.ts';
import { acceptedByBoard } from '../../src/protocol/accepted.ts';
import { blankReport, blankScene, decodeScene, decodeWelcome, encodeReport } from '../../src/protocol/codec.ts';
import { BYE, COUPLING_RATE_SPLIT, HELLO_ID, REPORT, type Report, SCENE, WELCOME } from '../../src/protocol/frames.ts';
import { encodeHello, type Hello } from '../../src/protocol/hello.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { AveragedMotor, PACED_HELLO } from '../support/paced-motor.ts';

const { credits: _credits, ...WITHOUT_CREDITS } = PACED_HELLO;
const QUIET = { beat_s: 0 };
const TICK_S = 0.002;

/** A board that does what the test says: it hears frames and says bytes, nothing by itself but Hello. */
class Puppet implements Wire {
  readonly name = 'puppet';
  readonly heard: { id: number; payload: Uint8Array }[] = [];
  /** Chunks as they were handed over, not copied: what a socket does that cannot write at once. */
  readonly kept: Uint8Array[] = [];
  private ear: Ear | undefined;
  private readonly hello: Hello;
  private readonly sender = new StreamSender(4096);
  private readonly receiver = new StreamReceiver(acceptedByBoard(), (id, bytes, length) => {
    this.heard.push({ id, payload: bytes.slice(PAYLOAD_AT, PAYLOAD_AT + length) });
    if (this.heard.length === 1) this.sayHello();
  });

  constructor(hello: Partial<Hello> = {}) {
    this.hello = { ...WITHOUT_CREDITS, ...hello };
  }

  attach(ear: Ear): void {
    this.ear = ear;
  }

  send(bytes: Uint8Array): void {
    this.kept.push(bytes);
    this.receiver.push(bytes.slice());
  }

  async close(): Promise<void> {}

  sayHello(): void {
    this.ear?.take(this.sender.wrapCopy(HELLO_ID, encodeHello(this.hello)).slice());
  }

  report(number: number, change: Partial<Report> = {}): void {
    const report = { ...blankReport(1), number, ...change };
    const { packet } = this.sender;
    this.ear?.take(this.sender.wrap(REPORT.id, encodeReport(report, packet, PAYLOAD_AT)).slice());
  }

  frames(id: number): Uint8Array[] {
    return this.heard.filter((each) => each.id === id).map(({ payload }) => payload);
  }
}

interface Open {
  readonly board: Puppet;
  readonly link: RateSplitLink;
  readonly heard: { number: number; late: boolean }[];
}

async function opened(hello: Partial<Hello> = {}): Promise<Open> {
  const board = new Puppet(hello);
  const link = await openRateSplit(board, QUIET);
  const heard: Open['heard'] = [];
  link.start(TICK_S, ({ number }, late) => heard.push({ number, late }));
  return { board, link, heard };
}

describe('rate-split link', () => {
  it('welcomes with coupling, interval, credits and patience', async () => {
    const { board, link } = await opened({ credits: 7 });
    const welcome = { version: 0, coupling: 0, credits: 0, tick: 0, patience: 0 };
    expect(decodeWelcome(board.frames(WELCOME.id)[0], welcome)).toBe('ok');
    const patience = RATE_SPLIT_TIMES.answer_s * 1000;
    expect(welcome).toMatchObject({ coupling: COUPLING_RATE_SPLIT, credits: 7, tick: TICK_S * 1e9, patience });
    expect(link.credits()).toBe(7);
    await link.close();
    expect(board.frames(BYE.id)).toHaveLength(1);
  });

  it('allows one unanswered Scene when Hello names no number', async () => {
    const { link, board } = await opened();
    link.beat();
    expect([link.send(blankScene()), link.send(blankScene())]).toEqual([true, false]);
    board.report(0);
    expect(link.send(blankScene())).toBe(true);
    expect(link.counters).toMatchObject({ sent: 2, answered: 1, heldBack: 1 });
    await link.close();
  });

  it('counts through the end of its numbers', async () => {
    const { link, board, heard } = await opened({ credits: 1 });
    const beats = 2 ** 16 + 100;
    for (let k = 0; k < beats; k++) {
      link.beat();
      link.send(blankScene());
      board.report(k & 0xffff);
    }
    expect(heard.at(-1)).toEqual({ number: 99, late: false });
    expect(link.counters).toMatchObject({ sent: beats, answered: beats, lost: 0, late: 0, heldBack: 0, repeated: 0 });
    await link.close();
  });

  it('sees a gap across the wrap as so many lost frames', async () => {
    const { link, board } = await opened({ credits: 64 });
    for (let k = 0; k < 2 ** 16 + 10; k++) {
      link.beat();
      link.send(blankScene());
      if (k < 65_530 || k === 65_540) board.report(k & 0xffff);
    }
    expect(link.counters).toMatchObject({ lost: 10, answered: 65_531, late: 0, heldBack: 0 });
    await link.close();
  });

  it('keeps the bytes of every Scene as they are while it is under way', async () => {
    const { link, board } = await opened({ credits: 4 });
    board.kept.length = 0;
    for (let k = 0; k < 4; k++) {
      link.beat();
      link.send({ ...blankScene(), open: k });
    }
    const late: number[] = [];
    const receiver = new StreamReceiver(acceptedByBoard(), (id, bytes, length) => {
      const scene = blankScene();
      if (id === SCENE.id && decodeScene(bytes, scene, PAYLOAD_AT, length) === 'ok') late.push(scene.open);
    });
    for (const bytes of board.kept) receiver.push(bytes);
    expect(late).toEqual([0, 1, 2, 3]);
    await link.close();
  });

  it('tells a late Report from one in time by the beat that has begun', async () => {
    const { link, board, heard } = await opened({ credits: 3 });
    link.beat();
    link.send(blankScene());
    link.beat();
    link.send(blankScene());
    board.report(0);
    board.report(1);
    expect(heard).toEqual([
      { number: 0, late: true },
      { number: 1, late: false },
    ]);
    expect(link.counters).toMatchObject({ late: 1, answered: 2 });
    await link.close();
  });

  it.each([
    ['a number that was never sent', (b: Puppet) => b.report(5), 'a Report is for Scene 5; the last one sent is 0'],
    ['Hello again', (b: Puppet) => b.sayHello(), 'the board said Hello again after 1 answers: it has restarted'],
  ])('loses a board that says %s', async (_what, act, words) => {
    const { link, board } = await opened();
    link.beat();
    link.send(blankScene());
    board.report(0);
    act(board);
    link.beat();
    expect(link.loss()?.message).toBe(`puppet: ${words}`);
    expect(link.send(blankScene())).toBe(false);
    await link.close();
  });

  it('loses a board that reports before it was asked', async () => {
    const { link, board } = await opened();
    board.report(0);
    expect(link.loss()).toMatchObject({
      cause: 'wrong tick',
      message: 'puppet: a Report came before any Scene was sent',
    });
    await link.close();
  });

  it('gives up a silent board in words, with one more Scene that has no power', async () => {
    const { link, board } = await opened({ credits: 2 });
    let beats = 0;
    for (; !link.loss() && beats < 1000; beats++) {
      link.beat();
      link.send({ ...blankScene(), levels: 3, open: 18 });
    }
    expect(beats).toBe(RATE_SPLIT_TIMES.answer_s / TICK_S + 1);
    expect(link.loss()?.cause).toBe('no answer');
    expect(link.loss()?.message).toMatch(
      /^puppet: no Report for 0\.6 s; 0 of \d+ Scenes were answered, none was, \d+ held back$/,
    );
    const last = blankScene();
    expect(decodeScene(board.frames(SCENE.id).at(-1)!, last)).toBe('ok');
    expect(last).toMatchObject({ levels: 0, open: 0, hold: 0 });
    // Two credits come back each time that two Scenes are given up.
    const rounds = Math.floor(1 / GIVE_UP);
    expect(link.counters.lost).toBeGreaterThanOrEqual(2 * (rounds - 1));
    await link.close();
  });

  it.each([
    { speed: Number.NaN },
    { torque: Number.POSITIVE_INFINITY },
    { drawn: -20_000 },
    { loss: 1e9 },
    { speed: 30_000 },
  ])('counts %o as absurd and lets nobody hear it', async (change) => {
    const { link, board, heard } = await opened();
    link.beat();
    link.send(blankScene());
    board.report(0, change);
    expect(heard).toEqual([]);
    expect(link.counters).toMatchObject({ answered: 1, absurd: 1 });
    await link.close();
  });

  it('travels as messages too', async () => {
    let ear: Ear | undefined;
    const motor = new AveragedMotor();
    const board = new ServedPaced(motor, (bytes) => ear?.take(bytes), true);
    const wire: Wire = {
      name: 'messages',
      messages: true,
      attach: (to) => {
        ear = to;
      },
      send: (bytes) => board.receiver.push(bytes),
      close: async () => {},
    };
    const link = await openRateSplit(wire, QUIET);
    const speeds: number[] = [];
    link.start(TICK_S, ({ speed }) => speeds.push(speed));
    for (let k = 0; k < 10; k++) {
      link.beat();
      link.send({ ...blankScene(), levels: 3, open: 18, trigger: 3686, clock: k * 2000 });
    }
    expect(board.counters).toEqual({ scenes: 10, missed: 0 });
    expect(speeds).toHaveLength(10);
    expect(speeds.at(-1)).toBeGreaterThan(speeds[0]);
    await link.close();
  });
});

describe('paced board', () => {
  /** Scenes by number and clock; the angle after each. */
  function angles(scenes: readonly (readonly [number, number])[]): number[] {
    const seen: number[] = [];
    const motor = new AveragedMotor({ friction_Nm: 0, viscous_Nms: 0 });
    motor.speed_rad_s = 100;
    const link = new Puppet();
    const board = new ServedPaced(motor, () => seen.push(motor.angle_rad));
    link.attach({ take: (bytes) => board.receiver.push(bytes), lose: () => undefined, progress: '' });
    const sender = new StreamSender(64);
    const welcome = Uint8Array.of(3, 0, COUPLING_RATE_SPLIT, 2, ...le32(TICK_S * 1e9), 0, 0, 0, 0);
    board.receiver.push(sender.wrapCopy(WELCOME.id, welcome));
    for (const [number, clock_s] of scenes) {
      const bytes = new Uint8Array(SCENE.bytes);
      bytes.set([number & 255, number >> 8]);
      bytes.set(le32(clock_s * 1e6), 4);
      board.receiver.push(sender.wrapCopy(SCENE.id, bytes));
    }
    return seen.map((angle) => Math.round(angle * 1e6) / 1e6);
  }
  const le32 = (value: number): number[] => [0, 8, 16, 24].map((shift) => (Math.round(value) >>> shift) & 255);

  it('runs an interval a Scene, and makes up for those that are missing by the clock of the drill', () => {
    expect(
      angles([
        [0, 0],
        [1, 0.002],
        [2, 0.008],
        [3, 0.01],
      ]),
    ).toEqual([0.2, 0.4, 1, 1.2]);
  });

  it('makes nothing of a long pause, nor of a clock that wraps', () => {
    const wrap = 2 ** 32 / 1e6;
    expect(
      angles([
        [0, 0],
        [1, 1],
        [2, wrap - 0.001],
        [3, wrap + 0.001],
      ]),
    ).toEqual([0.2, 0.4, 0.6, 0.8]);
  });
});
