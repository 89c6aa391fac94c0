/**
 * Faults of the link between drill and board, each by what both ends then see.
 *
 * Source  binomial counts, and a chain of two states that is left with probability 1 / mean: textbook probability. A checksum of
 *         16 bits finds every single wrong bit: any cyclic code does (from memory). External communication as a source of
 *         faults, its kinds lost, late, repeated, wrong order, wrong data: IEC 60730-1 annex H (overview read, text not).
 */
import { describe, expect, it } from 'vitest';
import { openMemoryLink } from '../../src/links/memory.ts';
import { acceptedByBoard } from '../../src/protocol/accepted.ts';
import { encodeSense } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { GATE_ALL, SENSE, SENSE_BOOT } from '../../src/protocol/frames.ts';
import { MessageReceiver, MessageSender } from '../../src/protocol/message.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { READINGS } from '../../src/runner/mishap-packing.ts';
import { BURST_TICKS } from '../../src/runner/mishaps.ts';
import { play } from '../../src/runner/play.ts';
import { acting, benchWith, OPTIONS, SHORT, sixStep } from '../runner/rig.ts';
import { expectNear } from '../support/near.ts';
import { MARKS, marked, run } from './mishap-rig.ts';
import { type Fault, mean, put } from './rig.ts';

const TICKS = 20_000;
/** Five deviations of the share of `n` draws. */
const drawn = (share: number, n = TICKS) => ({
  abs: 5 * Math.sqrt((share * (1 - share)) / n),
  because: `five deviations of a share of ${n} draws`,
});

describe('frames lost', () => {
  it('leave the board unasked in their share of the ticks, and the last command in force', () => {
    const share = 0.2;
    const { bench, heard } = marked();
    put(bench.plant, { fault: 'frames-lost', size: share });
    const rows = run(bench, TICKS);
    const { sensesLost = 0, drivesLost = 0, late, lost } = bench.counters;
    expectNear(heard.length / TICKS, 1 - share, drawn(share));
    expect(sensesLost).toBe(TICKS - heard.length);
    expectNear(drivesLost / heard.length, share, drawn(share, heard.length));
    // A command is in force one tick after its Sense when both frames came, else the one before it still is.
    const fresh = rows.filter(({ tick, mark }) => mark === (tick - 1) % MARKS).length;
    expectNear(fresh / TICKS, (1 - share) ** 2, drawn((1 - share) ** 2));
    for (let k = 1; k < rows.length; k++)
      expect(rows[k].mark === (rows[k].tick - 1) % MARKS || rows[k].mark === rows[k - 1].mark).toBe(true);
    expect([late, lost]).toEqual([0, 0]);
  });

  it('leave nothing at all at 100 %, and the board is told its boot with the first frame that comes through', () => {
    const heard: number[] = [];
    const bench = benchWith(acting((sense) => void heard.push(sense.flags & SENSE_BOOT)));
    put(bench.plant, { fault: 'frames-lost', size: 1 });
    bench.plant.hands.set('trigger', 0.5);
    run(bench, 400);
    expect(bench.plant.powered).toBe(true);
    expect(heard).toEqual([]);
    bench.plant.damage.set('framesLost', 0);
    run(bench, 3);
    expect(heard).toEqual([SENSE_BOOT, 0, 0]);
  });
});

describe('frames lost in bursts', () => {
  it('make gaps of twenty ticks on the mean, in their share of the time, both ways at once', () => {
    const share = 0.2;
    const { bench, heard } = marked();
    put(bench.plant, { fault: 'frames-lost-in-bursts', size: share });
    run(bench, TICKS);
    const gaps = heard
      .slice(1)
      .map((sense, k) => sense.tick - heard[k].tick - 1)
      .filter((gap) => gap > 0);
    const because = 'five deviations of the mean of that many gaps; a geometric length scatters by its mean';
    expectNear(mean(gaps), BURST_TICKS, { abs: (5 * BURST_TICKS) / Math.sqrt(gaps.length), because });
    // Variance of the share of a two-state chain: p (1 - p) (1 + r) / (1 - r) / n, r = 1 - 1 / mean / (1 - p).
    const r = 1 - 1 / BURST_TICKS / (1 - share);
    const deviation = Math.sqrt((share * (1 - share) * (1 + r)) / (1 - r) / TICKS);
    const chain = { abs: 5 * deviation, because: 'five deviations of the share of time in a two-state chain' };
    expectNear(1 - heard.length / TICKS, share, chain);
    expect(bench.counters.drivesLost).toBeUndefined();
  });
});

describe('commands late now and then', () => {
  it('come one to three ticks late, and never in place of a newer one', () => {
    const share = 0.3;
    const { bench } = marked();
    put(bench.plant, { fault: 'frames-late', size: share });
    const rows = run(bench, 4000);
    const { commandsLate = 0, commandsOvertaken = 0 } = bench.counters;
    expectNear(commandsLate / 4000, share, drawn(share, 4000));
    const behind = rows.map(({ tick, mark }) => tick - 1 - mark);
    expect(Math.min(...behind)).toBe(0);
    for (let k = 1; k < rows.length; k++) expect(rows[k].mark).toBeGreaterThanOrEqual(rows[k - 1].mark);
    // Late by d, a command acts only where the d that follow it are late too, by no less than what is left.
    expect(commandsOvertaken).toBeGreaterThan(0.6 * commandsLate);
    expect(Math.max(...behind)).toBeLessThanOrEqual(3 * 3);
  });

  it('act exactly when they are due when all are late', () => {
    const { bench } = marked();
    put(bench.plant, { fault: 'frames-late', size: 1 });
    const rows = run(bench, 4000).slice(10);
    const behind = rows.map(({ tick, mark }) => tick - 1 - mark);
    // In force is the newest of those that have come: one in three is late by 1, and nothing is newer.
    expect([...new Set(behind)].sort()).toEqual([1, 2, 3]);
    expectNear(behind.filter((b) => b === 1).length / rows.length, 1 / 3, drawn(1 / 3, rows.length));
    // By 2: not the newest by 1 (2/3), but the one before by 1 or 2 (2/3).
    expectNear(behind.filter((b) => b === 2).length / rows.length, 4 / 9, drawn(4 / 9, rows.length));
  });
});

describe('frames doubled', () => {
  const doubled: Fault = { fault: 'frames-doubled', size: 0.5 };

  it('change nothing, in process and over a link: a repeated frame is one tick', async () => {
    const plain = benchWith(sixStep(), 0.6);
    plain.advance(0.05);
    const bench = benchWith(sixStep(), 0.6);
    put(bench.plant, doubled);
    bench.advance(0.05);
    expect(bench.plant.state[0]).toBe(1000);
    const same = ['iAlpha', 'rotorAngle', 'chuckAngle', 'charge', 'lossSwitch'] as const;
    for (const name of same) expect(bench.plant.read(name)).toBe(plain.plant.read(name));
    const link = await openMemoryLink(sixStep());
    const stepped = new LockStepBench({ ...OPTIONS, link });
    stepped.plant.hands.set('trigger', 0.6);
    put(stepped.plant, doubled);
    for (let k = 0; k < 1000; k++) await stepped.tickOnce();
    expect(stepped.plant.hash()).toBe(bench.plant.hash());
    const { asked, sensesDoubled = 0 } = stepped.counters;
    expectNear(sensesDoubled / asked, 0.5, drawn(0.5, asked));
    expect(link.counters.answered).toBe(asked + sensesDoubled);
  });
});

describe('frames in the wrong order', () => {
  it('reach the board after the next one; the answer to the older is refused', () => {
    const share = 0.1;
    const ticks = 8000;
    expect(ticks).toBeLessThan(MARKS);
    const { bench, heard } = marked();
    put(bench.plant, { fault: 'frames-reordered', size: share });
    const rows = run(bench, ticks);
    const pins = new Map(rows.map((row) => [row.tick, row.pins]));
    let turned = 0;
    for (let k = 1; k < heard.length; k++) {
      // What was overtaken is what the pins read then, not now.
      expect(heard[k]).toEqual(pins.get(heard[k].tick));
      if (heard[k].tick > heard[k - 1].tick) continue;
      turned++;
      expect(heard[k].tick).toBe(heard[k - 1].tick - 1);
    }
    // One is withheld at a time: share of the ticks s = p (1 - s).
    const turns = share / (1 + share);
    expectNear(turned / ticks, turns, drawn(turns, ticks));
    const overtaken = new Set(heard.filter((sense, k) => k > 0 && sense.tick < heard[k - 1].tick).map((s) => s.tick));
    for (const { mark } of rows.slice(1)) expect(overtaken.has(mark)).toBe(false);
    expect(bench.counters.late).toBe(0);
  });
});

describe('frames corrupted', () => {
  it('every single wrong bit of a Sense packet is refused by the checksum', () => {
    let came = 0;
    const receiver = new MessageReceiver(acceptedByBoard(), () => {
      came++;
    });
    const sender = new MessageSender(SENSE.bytes);
    const { bench } = marked();
    const packet = Uint8Array.from(sender.wrap(SENSE.id, encodeSense(bench.sense, sender.packet, PAYLOAD_AT)));
    receiver.push(packet);
    expect(came).toBe(1);
    for (let bit = 0; bit < 8 * packet.length; bit++) {
      const wrong = Uint8Array.from(packet);
      wrong[bit >> 3] ^= 1 << (bit & 7);
      receiver.push(wrong);
    }
    expect(came).toBe(1);
  });

  it('are lost, and counted as refused', () => {
    const { bench, heard } = marked();
    put(bench.plant, { fault: 'frames-corrupted', size: 0.1 });
    run(bench, TICKS);
    const { sensesLost = 0, drivesLost = 0, framesRefused } = bench.counters;
    expectNear(heard.length / TICKS, 0.9, drawn(0.1));
    expect(framesRefused).toBe(sensesLost + drivesLost);
    expectNear(drivesLost / heard.length, 0.1, drawn(0.1, heard.length));
  });
});

describe('frames corrupted unseen', () => {
  it('carry one wrong bit in their share, and all others none', () => {
    const share = 0.1;
    const { bench, heard } = marked();
    put(bench.plant, { fault: 'frames-wrong', size: share });
    const rows = run(bench, TICKS);
    expect(heard.length).toBe(TICKS);
    let wrong = 0;
    heard.forEach((sense, k) => {
      const bits = READINGS.reduce((sum, name) => sum + ones(sense[name] ^ rows[k].pins[name]), 0);
      expect(bits).toBeLessThanOrEqual(1);
      wrong += bits;
    });
    expectNear(wrong / TICKS, share, drawn(share));
    const answers = rows.slice(1).filter(({ tick, mark }) => mark !== (tick - 1) % MARKS).length;
    // 16 of 51 bits are duty A; its highest two make it more than full, where the timer clamps it.
    expectNear(answers / TICKS, (share * 16) / 51, drawn((share * 16) / 51));
    expect(bench.counters.framesWrong).toBeGreaterThan(wrong);
  });

  it('are gone with the fault', () => {
    const { bench, heard } = marked();
    put(bench.plant, { fault: 'frames-wrong', size: 1 });
    run(bench, 100);
    bench.plant.damage.set('framesWrong', 0);
    heard.length = 0;
    const rows = run(bench, 1000);
    heard.forEach((sense, k) => {
      expect(sense).toEqual(rows[k].pins);
    });
  });
});

const ones = (bits: number): number => bits.toString(2).replaceAll('0', '').length;

const ALL: readonly Fault[] = [
  { fault: 'frames-lost', size: 0.05 },
  { fault: 'frames-lost-in-bursts', size: 0.02 },
  { fault: 'frames-late', size: 0.1 },
  { fault: 'frames-doubled', size: 0.1 },
  { fault: 'frames-reordered', size: 0.05 },
  { fault: 'frames-corrupted', size: 0.02 },
  { fault: 'frames-wrong', size: 0.01 },
  { fault: 'clock-skew', size: 0.03 },
  { fault: 'answer-late', size: 50e-6 },
];

describe('all of them', () => {
  const inProcess = (controller: Controller) => {
    const bench = benchWith(controller, 0.6);
    put(bench.plant, ...ALL);
    return bench;
  };

  it('are the same in process and in lock-step, and the same again', async () => {
    const hashes = [sixStep(), sixStep()].map((controller) => {
      const bench = inProcess(controller);
      bench.advance(0.1);
      return bench.plant.hash();
    });
    const link = await openMemoryLink(sixStep());
    const stepped = new LockStepBench({ ...OPTIONS, link });
    stepped.plant.hands.set('trigger', 0.6);
    put(stepped.plant, ...ALL);
    for (let k = 0; k < 2000; k++) await stepped.tickOnce();
    expect(stepped.plant.hash()).toBe(hashes[0]);
    expect(hashes[1]).toBe(hashes[0]);
    expect(stepped.controllerLost).toBe('');
    expect(stepped.counters.late).toBe(0);
    for (const name of ['sensesLost', 'drivesLost', 'commandsLate', 'sensesOvertaken', 'clockSlips'] as const)
      expect(stepped.counters[name], name).toBeGreaterThan(0);
  });

  it('go on bit by bit from a snapshot', () => {
    const bench = inProcess(
      acting((sense, drive) => {
        const dutyA = (sense.ia + sense.link) % MARKS;
        Object.assign(drive, { tick: sense.tick, gates: GATE_ALL, dutyA, dutyB: 4000, dutyC: 4000, state: 2, trip: 0 });
      }),
    );
    bench.advance(0.02);
    const snapshot = bench.plant.snapshot();
    bench.advance(0.02);
    const first = bench.plant.hash();
    bench.plant.restore(snapshot);
    bench.advance(0.02);
    expect(bench.plant.hash()).toBe(first);
  });

  it('do not make a run invalid: they were ordered', async () => {
    const faults = ALL.map(({ fault, size }) => ({
      fault,
      size,
      begin: { kind: 'at', at_s: 0.02 } as const,
      shape: { kind: 'step' } as const,
    }));
    const outcome = await play({ ...SHORT, faults }, benchWith(sixStep()));
    expect(['passed', 'failed']).toContain(outcome.verdict);
    expect(outcome.why).toBe('');
    expect(outcome.counters.sensesLost).toBeGreaterThan(0);
    expect(outcome.counters).toMatchObject({ late: 0, lost: 0 });
  });
});
