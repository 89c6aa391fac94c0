/**
 * Rough hands: whatever a person does to the drill, at any moment, the numbers stay finite and the energy balances.
 *
 * Source  conservation; the hands are drawn from a seeded generator, so a failure repeats.
 */
import { describe, expect, it } from 'vitest';
import { BUILT_IN } from '../../src/control/index.ts';
import { LOADS } from '../../src/plant/load/index.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { nextState, seedState } from '../../src/plant/random.ts';
import { Bench } from '../../src/runner/bench.ts';
import { BENCH_BOARD } from '../../src/sensing/board.ts';
import { expectNear } from '../support/near.ts';

/** Draws whole numbers below n from a seed. */
function dice(seed: number): (n: number) => number {
  let state = seedState(seed);
  return (n) => {
    state = nextState(state);
    return Math.floor((state / 4294967296) * n);
  };
}

describe.each([1, 2, 5])('rough hands, seed %i', (seed) => {
  it('never unbalance the energy nor leave the numbers', () => {
    const roll = dice(seed);
    const controller = BUILT_IN['hall-six-step']();
    const bench = new Bench({ drill: BENCH_18, board: BENCH_BOARD, seed, h_s: 1e-6, controller });
    const { hands } = bench.plant;
    const moves = [
      () => hands.set('trigger', roll(4) === 0 ? 0 : roll(101) / 100),
      () => hands.set('trigger', 1),
      () => hands.set('direction', roll(3) - 1),
      () => hands.set('gear', 1 + roll(2)),
      () => hands.set('grip', roll(2) * roll(20)),
      () => hands.set('meets', roll(LOADS.length)),
    ];
    let worst = 0;
    // A press begins shallow; a deep trigger in its first frame would keep the controller locked until it is released.
    hands.set('trigger', 0.3);
    bench.advance(0.01);
    for (let event = 0; event < 30; event++) {
      moves[roll(moves.length)]();
      const ticks = 200 + roll(1200);
      for (let t = 0; t < ticks; t++) {
        bench.tickOnce();
        if (t % 50 === 0) worst = Math.max(worst, Math.abs(bench.plant.energy().share));
      }
    }
    expect(bench.plant.fault).toBe('');
    const why = 'three fixed-point passes leave 1e-9 of the current; splits at current zeros leave the rest';
    expectNear(worst, 0, { abs: 1e-6, because: why });
    expect(bench.plant.energy().passed_J).toBeGreaterThan(1);
  });
});
