/**
 * Round trip and clock of a board, and the budget of its line.
 *
 * Source (line)      Ten bit times a byte: start bit, eight data bits, stop bit, the usual frame of a UART. Overhead of
 *                    stuffing: S. Cheshire, M. Baker, IEEE/ACM Transactions on Networking 7(2), 1999: at most one byte in 254.
 * Source (clock)     COMPUTED: a stamp taken between asking and hearing bounds the offset by half the round trip, whatever
 *                    the way there and back took.
 */
import { describe, expect, it } from 'vitest';
import { BoardClock } from '../../src/links/board-clock.ts';
import {
  LINE_SHARE_MOST,
  lockStepCeiling_Hz,
  lockStepWords,
  rateSplitLoad,
  rateSplitProblem,
  streamBytes,
} from '../../src/links/line-budget.ts';
import { lineFigures, lineText } from '../../src/links/line-figures.ts';
import { openPeer, Peer } from '../../src/links/peer.ts';
import { lockStepProblem, measureRoundTrip, roundTripOf, roundTripWords } from '../../src/links/round-trip.ts';
import { ServedController } from '../../src/links/served.ts';
import { openSession } from '../../src/links/session.ts';
import type { Ear, Wire } from '../../src/links/wire.ts';
import { acceptedByBoard } from '../../src/protocol/accepted.ts';
import { blankDrive, blankSense, decodeBeat, encodeBeat, encodeDrive, encodeSense } from '../../src/protocol/codec.ts';
import { BEAT, BEAT_ANSWER, DRIVE, REPORT, SCENE, SENSE } from '../../src/protocol/frames.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { expectNear } from '../support/near.ts';
import { seeded } from '../support/seeded.ts';
import { echoController } from './echo-controller.ts';

/** A serial wire whose board answers after `delay_ms`. */
function slowWire(delay_ms: () => number, baud?: number): Wire {
  let ear: Ear;
  const board = new ServedController(echoController(), (bytes) => {
    const copy = bytes.slice();
    setTimeout(() => ear.take(copy), delay_ms());
  });
  return {
    name: 'slow',
    ...(baud !== undefined && { baud }),
    attach(to) {
      ear = to;
    },
    send: (bytes) => board.receiver.push(bytes),
    async close() {},
  };
}

describe('round trip', () => {
  it('is measured when a serial link opens, and of no other', async () => {
    const slow = await openSession(
      slowWire(() => 20, 115_200),
      { beat_s: 0 },
    );
    const trip = slow.roundTrip!;
    expect(trip.count).toBe(25);
    expect(trip.p50_s).toBeGreaterThan(0.019); // a timer may fire up to 1 ms early
    expect(trip.p50_s).toBeLessThanOrEqual(trip.p99_s);
    expect(trip.p99_s).toBe(trip.max_s); // of 25, the 99th percentile is the largest
    await slow.close();
    const plain = await openSession(slowWire(() => 0));
    expect(plain).not.toHaveProperty('roundTrip');
    await plain.close();
  });

  it('stops measuring when it takes too long, with the beats that it has', async () => {
    const begun = performance.now();
    const link = await openSession(
      slowWire(() => 150, 115_200),
      { beat_s: 0 },
    );
    expect(performance.now() - begun).toBeLessThan(3000);
    expect(link.roundTrip?.count).toBeGreaterThanOrEqual(5);
    expect(link.roundTrip?.count).toBeLessThan(25);
    await link.close();
  });

  it('is not known of a board that answers no signs of life, and the link works all the same', async () => {
    const wire = slowWire(() => 0, 115_200);
    const { send } = wire;
    const deaf: Wire = { ...wire, send: (bytes) => (bytes[2] === 0x05 ? undefined : send(bytes)) };
    const link = await openSession(deaf, { beat_s: 0 });
    expect(link.roundTrip).toBeUndefined();
    expect(lockStepProblem(link.roundTrip)).toBeUndefined();
    expect(await link.exchange(blankSense(), blankDrive(1))).toBe('ok');
    await link.close();
  });

  it('takes its own beats for its own, while the watch of the link beats too', async () => {
    const wire = slowWire(() => 30, 115_200);
    const link = await openSession(wire, { beat_s: 0.01 });
    expect(link.roundTrip?.p50_s).toBeGreaterThan(0.029);
    await link.close();
  });

  it('of a carrier that answers before it returns is measured as well', async () => {
    let ear: Ear;
    const board = new ServedController(echoController(), (bytes) => ear.take(bytes));
    const wire: Wire = {
      name: 'memory',
      attach(to) {
        ear = to;
      },
      send: (bytes) => board.receiver.push(bytes),
      async close() {},
    };
    const peer = new Peer(wire, { beat_s: 0 });
    const link = await openPeer(wire, peer, {});
    const trip = await measureRoundTrip(peer, 10);
    expect(trip).toMatchObject({ count: 10, missed: 0 });
    expect(trip!.max_s).toBeLessThan(0.05);
    await link.close();
  });

  it('has percentiles by the nearest rank', () => {
    // 1 to 100: the median is 50, the 99th percentile 99, by the definition of the nearest rank.
    const list = Array.from({ length: 100 }, (_, k) => 100 - k);
    expect(roundTripOf(list, 2)).toEqual({ count: 100, missed: 2, p50_s: 50, p99_s: 99, max_s: 100 });
    expect(roundTripOf([3])).toMatchObject({ p50_s: 3, p99_s: 3, max_s: 3 });
  });

  it('above 50 ms refuses lock-step with the figures and the timers to look at; 16 ms does not', async () => {
    const slow = roundTripOf([0.06, 0.062, 0.09]);
    expect(roundTripWords(slow)).toBe('round trip p50 62.0 ms, p99 90.0 ms, longest 90.0 ms (3 signs of life)');
    for (const words of ['p50 62.0 ms', 'at most 50 ms', 'latency timer', 'latency_timer', 'Windows', '1 ms']) {
      expect(lockStepProblem(slow)).toContain(words);
    }
    expect(lockStepProblem(roundTripOf([0.016, 0.017]))).toBeUndefined();
  });
});

describe('budget of a line', () => {
  it('counts at most the bytes that frames really take, and meets them without a zero in the payload', () => {
    const sender = new StreamSender(300);
    for (const [length, fill] of [
      [32, 0x41],
      [32, 0],
      [148, 0x41],
      [253, 0x41],
      [300, 0x41],
    ]) {
      const wire = sender.wrapCopy(0x10, new Uint8Array(length).fill(fill)).length;
      expect(wire).toBeLessThanOrEqual(streamBytes(length));
      // The paper allows one more only for each full block of 254.
      expect(streamBytes(length) - wire).toBeLessThanOrEqual(1);
    }
    const sense = sender.wrap(SENSE.id, encodeSense(blankSense(), sender.packet, PAYLOAD_AT)).length;
    expect(sense).toBe(streamBytes(SENSE.bytes));
    const drive = sender.wrap(DRIVE.id, encodeDrive(blankDrive(3), sender.packet, PAYLOAD_AT)).length;
    expect(drive).toBe(streamBytes(DRIVE.bytes + 12));
  });

  it('gives the ceiling of lock-step: 38 bytes there and 36 back at 115200 Bd are 155 exchanges a second', () => {
    // 115200 / 10 = 11520 bytes/s; Sense 32 + 6 bytes, Drive 16 + 3 * 4... + 6; by hand.
    const back = DRIVE.bytes + 12 + 6;
    expectNear(lockStepCeiling_Hz({ baud: 115_200, watchCount: 3 }), 11_520 / (38 + back), {
      abs: 1e-9,
      because: 'the same division',
    });
    expect(lockStepWords({ baud: 115_200, watchCount: 3 })).toBe(
      `at most ${Math.floor(11_520 / (38 + back))} exchanges a second on a line of 115200 Bd`,
    );
  });

  it('refuses rate-split above 80 % of the line, with the numbers and with what would do', () => {
    const use = { baud: 115_200, watchCount: 4 };
    const load = rateSplitLoad(use, 500);
    const busier = Math.max(SCENE.bytes + 6, REPORT.bytes + 16 + 6) * 500 + 8 * 14;
    expectNear(load.share, (busier * 10) / 115_200, { abs: 1e-12, because: 'the same bytes, counted by hand' });
    expect(load.share).toBeGreaterThan(1);
    const problem = rateSplitProblem(use, 500)!;
    expect(problem).toContain(`${Math.round(load.share * 100)} % of a line of 115200 Bd; allowed is 80 %`);
    const baud = Number(/both sides to (\d+) Bd/.exec(problem)?.[1]);
    const slower_Hz = Number(/at most (\d+) frames a second/.exec(problem)?.[1]);
    expect(rateSplitProblem({ ...use, baud }, 500)).toBeUndefined();
    expect(rateSplitProblem({ ...use, baud: Math.floor(baud * 0.99) }, 500)).toBeDefined();
    expect(rateSplitProblem(use, slower_Hz)).toBeUndefined();
    expect(rateSplitLoad(use, slower_Hz + 1).share).toBeGreaterThan(LINE_SHARE_MOST);
  });

  it('lets 921600 Bd carry 1000 frames a second with four watch values', () => {
    expect(rateSplitProblem({ baud: 921_600, watchCount: 4 }, 1000)).toBeUndefined();
  });
});

describe('clock of a board', () => {
  /** Beats every `every_s` with queues on both ways; the truth is offset_s + drift * t. */
  function beats(
    clock: BoardClock,
    { from_s = 0, to_s = 60, every_s = 0.25, offset_s = 5, drift = 0, least_s = 0.001, spike = 0, seed = 3 },
  ): void {
    const draw = seeded(seed);
    for (let t = from_s; t < to_s; t += every_s) {
      const queue = () => -0.0005 * Math.log(1 - draw()) + (draw() < spike ? 0.2 * draw() : 0);
      const there = least_s / 2 + queue();
      const back = least_s / 2 + queue();
      const stamp_s = t + there + offset_s + drift * (t + there);
      const clock_us = Math.floor(stamp_s * 1e6) % 2 ** 32;
      clock.add(t, t + there + back, clock_us);
    }
  }

  it.each([
    ['a crystal, 100 ppm fast', 100e-6, 0],
    ['a crystal, 50 ppm slow, with queues', -50e-6, 0.1],
    ['an oscillator without a crystal, 1 % fast', 0.01, 0.1],
  ])('of %s is found within the bounds that the round trips give', (_, drift, spike) => {
    const clock = new BoardClock();
    beats(clock, { drift, spike });
    const fit = clock.fit()!;
    expect(fit).toMatchObject({ jumps: 0, rejected: 0 });
    expect(fit.marks).toBeGreaterThan(40);
    expectNear(fit.drift_ppm, drift * 1e6, {
      abs: fit.driftWithin_ppm,
      because: 'each mark is off by half its trip at most',
    });
    expectNear(fit.offset_s, 5 + drift * fit.at_s, { abs: fit.offsetWithin_s, because: 'the same, at the last mark' });
    // The fastest trips of a second are near the 1 ms that the way takes without queues: 1.5 * 2 ms over 59 s is 51 ppm.
    expect(fit.driftWithin_ppm).toBeLessThan(60);
    // In truth the errors average out: a tenth of the bound.
    expectNear(fit.drift_ppm, drift * 1e6, {
      abs: 6,
      because: 'sixty marks of random sign; 0.3 ms / 59 s / sqrt(60) * 3.5 is 2 ppm',
    });
  });

  it('is not bent by a way back that always takes longer: the drift stays, the offset is within its bound', () => {
    const clock = new BoardClock();
    for (let t = 0; t < 100; t++) clock.add(t, t + 0.011, Math.floor((t + 0.001 + 7 + 30e-6 * t) * 1e6));
    const fit = clock.fit()!;
    expectNear(fit.drift_ppm, 30, { abs: 0.1, because: 'a stamp is rounded to 1 us, over 63 stretches' });
    expectNear(fit.offset_s, 7 + 30e-6 * fit.at_s, { abs: fit.offsetWithin_s, because: 'half the trip bounds it' });
    expect(Math.abs(fit.offset_s - 7 - 30e-6 * fit.at_s)).toBeGreaterThan(0.004); // and no less: this is not known
  });

  it('runs on when the stamp wraps after 71.6 minutes, and for hours', () => {
    const clock = new BoardClock();
    beats(clock, { to_s: 9000, every_s: 1, offset_s: 4290, drift: 20e-6 });
    const fit = clock.fit()!;
    expect(fit.jumps).toBe(0);
    expect(fit.marks).toBeLessThanOrEqual(64);
    expectNear(fit.drift_ppm, 20, {
      abs: 0.1,
      because: '2 ms over 9000 s bounds it by 0.3 ppm, and errors average out',
    });
  });

  it('begins anew when the clock was set, and counts the jump', () => {
    const clock = new BoardClock();
    beats(clock, { to_s: 20, offset_s: 1000, drift: 40e-6 });
    beats(clock, { from_s: 20, to_s: 50, offset_s: -15, drift: 40e-6 }); // the board restarted at 15 s
    const fit = clock.fit()!;
    expect(fit.jumps).toBe(1);
    expectNear(fit.offset_s, -15 + 40e-6 * fit.at_s, {
      abs: fit.offsetWithin_s,
      because: 'only beats after the jump count',
    });
  });

  it('does not follow a single stamp that is off', () => {
    const clock = new BoardClock();
    beats(clock, { to_s: 20 });
    const before = clock.fit()!;
    clock.add(20, 20.001, 25.5e6);
    expect(clock.fit()).toEqual({ ...before, rejected: 1 });
    beats(clock, { from_s: 20.25, to_s: 30 });
    expect(clock.fit()).toMatchObject({ rejected: 1, jumps: 0 });
  });

  it('says nothing of a board that has none, and knows no drift from one moment', () => {
    const clock = new BoardClock();
    clock.add(1, 1.001, 0);
    expect(clock.fit()).toBeUndefined();
    clock.add(1, 1.001, 5_000_000);
    expect(clock.fit()).toMatchObject({ marks: 1, drift_ppm: 0, driftWithin_ppm: Number.POSITIVE_INFINITY });
    clock.add(2, 1.5, 5_000_000); // heard before it was asked: no answer to that
    expect(clock.fit()).toMatchObject({ marks: 1, rejected: 0 });
  });
});

describe('figures of a line', () => {
  it('of a serial link are its rate, its ceiling, its round trip and what the clock of the board says', async () => {
    const link = await openSession(
      slowWire(() => 2, 115_200),
      { beat_s: 0 },
    );
    const figures = lineFigures(link)!;
    expect(figures).toMatchObject({ baud: 115_200, roundTrip: { count: 25 }, clock: null });
    expect(figures.ceiling_Hz).toBe(lockStepCeiling_Hz({ baud: 115_200, watchCount: 1 }));
    expect(lineText(figures, 1)).toMatch(
      /^at most \d+ exchanges a second on a line of 115200 Bd; round trip p50 [\d.]+ ms/,
    );
    await link.close();
  });

  it('are none of a link without a rate and without a clock, and of no link', async () => {
    const link = await openSession(slowWire(() => 0));
    expect(lineFigures(link)).toBeUndefined();
    expect(lineFigures(undefined)).toBeUndefined();
    await link.close();
  });

  it('say how the clock runs as far as it is known', () => {
    const figures = { baud: null, ceiling_Hz: null, roundTrip: null };
    const clock = { offset_s: 1, at_s: 2, offsetWithin_s: 0.1, marks: 2, rejected: 0, jumps: 0 };
    expect(lineText({ ...figures, clock: { ...clock, drift_ppm: 12.34, driftWithin_ppm: 3.21 } }, 0)).toBe(
      'clock of the board +12.3 ppm (within 3.2)',
    );
    const unknown = { ...clock, drift_ppm: 0, driftWithin_ppm: Number.POSITIVE_INFINITY, rejected: 2, jumps: 1 };
    expect(lineText({ ...figures, clock: unknown }, 0)).toBe(
      'clock of the board not watched long enough for its rate, 1 jumps, 2 stamps not used',
    );
    expect(lineText({ ...figures, baud: 9600, clock: null }, 0)).toContain('the board answers no signs of life');
  });

  it('of a board with a clock come from the beats of the link itself', async () => {
    let ear: Ear;
    const board = new ServedController(echoController(), (bytes) => {
      const copy = bytes.slice();
      setTimeout(() => ear.take(copy), 1);
    });
    const sender = new StreamSender(8);
    const begun = performance.now();
    const wire: Wire = {
      name: 'clocked',
      attach(to) {
        ear = to;
      },
      send(bytes) {
        if (bytes[2] !== BEAT.id) return board.receiver.push(bytes);
        const clock = Math.round((performance.now() - begun) * 1000 * 1.01) + 1; // 1 % fast
        const number = beatNumber(bytes);
        const answer = { number, levels: BEAT_ANSWER, clock };
        const copy = sender.wrap(BEAT.id, encodeBeat(answer, sender.packet, PAYLOAD_AT)).slice();
        setTimeout(() => ear.take(copy), 5); // long against what a busy machine adds to a timer
      },
      async close() {},
    };
    const link = await openSession(wire, { beat_s: 0.05 });
    await expect.poll(() => link.boardClock?.()?.marks ?? 0, { timeout: 40_000 }).toBeGreaterThanOrEqual(3);
    const fit = link.boardClock!()!;
    expectNear(fit.drift_ppm, 10_000, { abs: fit.driftWithin_ppm, because: 'the bound of the round trips' });
    expect(fit.driftWithin_ppm).toBeLessThan(9000); // so the drift is seen, not only bounded
    await link.close();
  }, 60_000);
});

/** The number that a Beat on the wire carries. */
function beatNumber(wire: Uint8Array): number {
  let number = 0;
  const receiver = new StreamReceiver(acceptedByBoard(), (_id, bytes, length) => {
    const beat = { number: 0, levels: 0, clock: 0 };
    decodeBeat(bytes, beat, PAYLOAD_AT, length);
    number = beat.number;
  });
  receiver.push(wire);
  return number;
}
