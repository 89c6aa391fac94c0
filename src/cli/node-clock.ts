/**
 * The clock of the machine for couplings in wall time: monotonic, finer than a timer, and asleep while it waits.
 *
 * A timer wakes up a millisecond too late, or more. So it is set some milliseconds short of the moment; the rest is slept
 * through by waiting for a cell of memory that nobody writes, which the system ends to some 0.1 ms. Sockets and pipes are
 * looked at before that sleep, so that what was written is under way, and after it: what has arrived counts as heard in
 * time. Turning in the event loop instead would be as fine, and would lose its processor to others on a busy machine.
 */
import { performance } from 'node:perf_hooks';
import type { WallClock } from '../runner/rate-split-pace.ts';

/** What is left to the fine sleep [ms]. */
const SHORT_MS = 3;
const NOBODY_WRITES = new Int32Array(new SharedArrayBuffer(4));

const aTurn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

export const NODE_CLOCK: WallClock = Object.freeze({
  now_s: () => performance.now() / 1000,
  async waitUntil(at_s: number): Promise<void> {
    const at_ms = at_s * 1000;
    await aTurn();
    const long_ms = at_ms - performance.now() - SHORT_MS;
    if (long_ms >= 1) await new Promise((resolve) => setTimeout(resolve, long_ms));
    const left_ms = at_ms - performance.now();
    if (left_ms > 0) Atomics.wait(NOBODY_WRITES, 0, 0, left_ms);
    do await aTurn();
    while (performance.now() < at_ms);
  },
  turn: aTurn,
});
