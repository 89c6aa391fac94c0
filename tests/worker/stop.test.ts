/** Stop in lock-step: the legs are open while the board still thinks, and the next squeeze finds it in its right mind. */
import { describe, expect, it } from 'vitest';
import type { LockStepLink } from '../../src/links/link.ts';
import { openMemoryLink } from '../../src/links/memory.ts';
import { STATE_RUNNING, TRIP_NONE } from '../../src/protocol/frames.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import { Finger } from '../../worker/finger.ts';
import { HeldLink } from '../../worker/held-link.ts';
import { OPTIONS, sixStep } from '../runner/rig.ts';

const TICKS_MS = 20;

async function rig() {
  const inner = await openMemoryLink(sixStep());
  let gate: Promise<void> | undefined;
  const link: LockStepLink = {
    ...inner,
    exchange: async (sense, drive) => {
      await gate;
      return inner.exchange(sense, drive);
    },
  };
  const held = new HeldLink(link);
  const bench = new LockStepBench({ ...OPTIONS, link: held });
  const finger = new Finger();
  return {
    held,
    bench,
    squeeze: (travel: number) => finger.aim(bench.plant, travel),
    value: (id: keyof typeof S) => bench.sample[S[id]],
    async run(ticks: number) {
      for (let k = 0; k < ticks; k++) {
        finger.move(bench.plant);
        await bench.tickOnce();
      }
    },
    /** From now on the board does not answer; returns what makes it answer again. */
    stall() {
      let open = (): void => undefined;
      gate = new Promise((resolve) => {
        open = () => {
          gate = undefined;
          resolve();
        };
      });
      return open;
    },
  };
}

describe('Stop while an answer is out', () => {
  it('has the legs open two ticks later, without the board', async () => {
    const { held, bench, squeeze, value, run, stall } = await rig();
    squeeze(0.6);
    await run(200 * TICKS_MS);
    expect(value('gates')).not.toBe(0);
    stall();
    const waiting = bench.tickOnce();
    held.held = true;
    await waiting;
    await run(1);
    expect(value('gates')).toBe(0);
    expect(bench.counters.late).toBe(0);
  });

  it('leaves the board able to drive at once when the trigger is squeezed again', async () => {
    const { held, bench, squeeze, value, run, stall } = await rig();
    squeeze(0.6);
    await run(200 * TICKS_MS);
    const answer = stall();
    const waiting = bench.tickOnce();
    squeeze(0);
    held.held = true;
    await waiting;
    await run(1);
    answer();
    await run(20 * TICKS_MS);
    expect(value('gates')).toBe(0);
    expect(value('chuckSpeed')).toBeGreaterThan(50);
    squeeze(0.6);
    held.held = false;
    await run(100 * TICKS_MS);
    expect(value('tripReason')).toBe(TRIP_NONE);
    expect(value('controllerState')).toBe(STATE_RUNNING);
    expect(value('gates')).not.toBe(0);
  });
});
