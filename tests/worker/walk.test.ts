/** The pace of a bench in lock-step: as answers come, never faster than asked, and no turn of the loop for nothing. */
import { performance } from 'node:perf_hooks';
import { describe, expect, it } from 'vitest';
import type { LockStepLink } from '../../src/links/link.ts';
import { openMemoryLink } from '../../src/links/memory.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { CATCH_UP_S, Pacer } from '../../worker/pacer.ts';
import { Walk } from '../../worker/walk.ts';
import { OPTIONS, sixStep } from '../runner/rig.ts';

const pause = (time_ms: number) => new Promise((done) => setTimeout(done, time_ms));

async function rig(change: (link: LockStepLink) => LockStepLink = (link) => link) {
  const bench = new LockStepBench({ ...OPTIONS, link: change(await openMemoryLink(sixStep())) });
  bench.plant.hands.set('trigger', 0.5); // closes the contact: the controller is asked at every tick
  const pacer = new Pacer();
  pacer.books = false;
  const seen = { before: 0, after: 0, turns: 0 };
  const walk = new Walk(bench, pacer, {
    before: () => seen.before++,
    after: () => seen.after++,
    turn: () => seen.turns++,
  });
  return { bench, pacer, seen, walk };
}

/** A link whose every answer takes its time. */
const slow =
  (time_ms: number) =>
  (link: LockStepLink): LockStepLink => ({
    ...link,
    exchange: (sense, drive) => pause(time_ms).then(() => link.exchange(sense, drive)),
  });

describe('a walk', () => {
  it('keeps to the pace that was asked for', async () => {
    const { bench, pacer, walk } = await rig();
    pacer.pace = 0.02;
    const begin_s = performance.now() / 1000;
    walk.run();
    await pause(400);
    walk.freeze();
    const wall_s = performance.now() / 1000 - begin_s;
    await pause(20);
    const virtual_s = bench.plant.time_s;
    expect(virtual_s).toBeGreaterThan(0);
    expect(virtual_s).toBeLessThanOrEqual(pacer.pace * wall_s + bench.plant.period_s);
  });

  it('goes as its answers come when they are slower, and loses no time by it', async () => {
    const { bench, pacer, walk, seen } = await rig(slow(5));
    walk.run();
    await pause(300);
    walk.freeze();
    await pause(20);
    expect(seen.after).toBe(bench.plant.tick);
    // A timer of 5 ms never fires early: a tick cannot take less, except the first ones before the supply is up.
    expect(bench.counters.asked).toBeGreaterThan(5);
    expect(bench.counters.asked).toBeLessThanOrEqual(320 / 5 + 1);
    expect(pacer.lost_s).toBe(0);
  });

  it('sleeps while it waits for an answer', async () => {
    const never: (link: LockStepLink) => LockStepLink = (link) => ({ ...link, exchange: () => new Promise(() => {}) });
    const { seen, walk } = await rig(never);
    walk.run();
    await pause(100);
    const { before } = seen;
    const idle = performance.eventLoopUtilization();
    await pause(400);
    const { utilization } = performance.eventLoopUtilization(idle);
    expect(seen.before).toBe(before);
    // A loop that spins is at 1; two timers of this test and whatever the runner does are far below a fifth.
    expect(utilization).toBeLessThan(0.2);
    walk.end();
  });

  it('goes on by exactly as many periods as asked for while frozen', async () => {
    const { bench, walk, seen } = await rig(slow(1));
    await walk.step(30);
    expect([bench.plant.tick, seen.before, seen.after]).toEqual([30, 30, 30]);
    await Promise.all([walk.step(2), walk.step(3)]);
    expect(bench.plant.tick).toBeLessThanOrEqual(35);
  });

  it('notes nothing any more once it has ended, not even the answer that was out', async () => {
    const { walk, seen } = await rig(slow(30));
    walk.run();
    await pause(60);
    walk.end();
    const { after } = seen;
    await pause(80);
    expect(seen.after).toBe(after);
  });

  it('catches up after a pause of its own, but never by more than the cap', async () => {
    const { bench, pacer, walk } = await rig();
    pacer.pace = 0.02;
    walk.run();
    await pause(50);
    const before_s = bench.plant.time_s;
    const block_ms = performance.now() + 300;
    while (performance.now() < block_ms);
    const begin_ms = performance.now();
    await pause(30);
    walk.freeze();
    const wall_s = (performance.now() - begin_ms) / 1000;
    await pause(20);
    const virtual_s = bench.plant.time_s - before_s;
    expect(virtual_s).toBeLessThanOrEqual(pacer.pace * (CATCH_UP_S + wall_s) + 2 * bench.plant.period_s);
  });
});
