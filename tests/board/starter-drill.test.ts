/** The C starter on the virtual drill, over its link: what it is for. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { LockStepLink } from '../../src/links/link.ts';
import { openStdioLink } from '../../src/links/node-stdio.ts';
import { LOADS } from '../../src/plant/load/index.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { misfits } from '../../src/runner/fit.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { BENCH_BOARD } from '../../src/sensing/board.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { starterCommand } from '../support/c-starter.ts';
import { expectNear } from '../support/near.ts';

const drill = PRESETS['bench-18'];
let link: LockStepLink;
beforeAll(async () => {
  link = await openStdioLink(await starterCommand(), { hello_s: 30 });
});
afterAll(() => link?.close());

function bench(gear: 1 | 2): LockStepBench {
  const b = new LockStepBench({ drill, board: BENCH_BOARD, seed: 3, h_s: 1e-6, link });
  b.plant.hands.set('direction', 1);
  b.plant.hands.set('gear', gear);
  return b;
}

/** Runs for span_s and returns the largest magnitude of a signal in it. */
async function run(b: LockStepBench, span_s: number, id: SignalId): Promise<number> {
  let most = 0;
  for (let k = 0; k < span_s * 20_000; k++) {
    await b.tickOnce();
    most = Math.max(most, Math.abs(b.sample[SIGNAL_INDEX[id]]));
  }
  expect(b.controllerLost).toBe('');
  return most;
}

describe('C starter on the virtual drill', () => {
  it('says a Hello that fits the board of the drill', () => {
    expect(misfits(link.hello, BENCH_BOARD, drill)).toEqual([]);
  });

  it('brings the chuck to the speed that the trigger asks for, and knows its own speed', async () => {
    const b = bench(2);
    b.plant.hands.set('trigger', 0.5);
    await run(b, 0.35, 'currentA');
    const speed = b.sample[SIGNAL_INDEX.motorSpeed];
    expectNear(speed, 1100, { abs: 25, because: 'half of 2200 rad/s; potentiometer noise and the loop within 2 %' });
    expectNear(b.drive.watch[0], speed, { abs: 12, because: 'mean over the last electrical turn against the present' });
  });

  it('seats a screw from 50 mm on without stripping the wood or passing 100 A', async () => {
    const b = bench(2);
    b.plant.hands.set('meets', LOADS.indexOf('screw'));
    b.plant.hands.placeNew(0.05);
    b.plant.hands.set('trigger', 0.35);
    const peak_A = await run(b, 1, 'currentA');
    expect(b.sample[SIGNAL_INDEX.clampForce]).toBeGreaterThan(1500);
    expect(peak_A).toBeLessThan(100);
    expect(Math.abs(b.sample[SIGNAL_INDEX.energyResidual])).toBeLessThan(1e-5);
  });
});
