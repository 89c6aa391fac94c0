/**
 * The timer at 8 to 40 kHz, with one update a period and with two.
 *
 * Source  centered pulses: a leg of duty d is high from T/2 (1 - d) to T/2 (1 + d), by hand.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, TINY } from '../support/rigs.ts';

const VDC = 18;

function timer(pwm_Hz: number, updates: number): Plant {
  const winding = { r_ohm: TINY, ld_H: 1, lq_H: 1, magnet_Wb: TINY };
  const bridge = { pwm_Hz, updates };
  return livePlant(drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), { bridge })), 1e-6);
}

describe.each([8000, 16_000, 20_000, 40_000])('a timer of %d Hz', (pwm_Hz) => {
  it.each([1, 2])('puts out its duties with %d updates a period', (updates) => {
    const plant = timer(pwm_Hz, updates);
    expect(plant.period_s).toBeCloseTo(1 / (pwm_Hz * updates), 15);
    const duties = [0.613, 0.251, 0.087];
    for (let k = 0; k < 4; k++) {
      plant.command(7, duties[0], duties[1], duties[2]);
      plant.runPeriod();
    }
    (['meanA', 'meanB', 'meanC'] as const).forEach((name, k) => {
      expectNear(plant.read(name), duties[k] * VDC, { abs: 1e-9, because: 'edges keep their exact time' });
    });
  });

  it('acts on a command half a period earlier when it updates twice', () => {
    const firstHigh = (updates: number): number => {
      const plant = timer(pwm_Hz, updates);
      for (let k = 0; k < 2 * updates; k++) plant.runPeriod();
      const start = plant.time_s;
      plant.command(7, 1, 0, 0);
      while (plant.read('onA') !== 1) plant.step();
      return plant.time_s - start;
    };
    const half = 0.5 / pwm_Hz;
    const because = 'a leg of full duty is high from the update on; a step is seen when it has ended';
    expectNear(firstHigh(1), 2 * half, { abs: 2.1e-6, because });
    expectNear(firstHigh(2), half, { abs: 2.1e-6, because });
  });
});

describe('a timer with two updates', () => {
  it('makes an uncentered pulse when the duty changes in the middle', () => {
    const plant = timer(20_000, 2);
    for (let k = 0; k < 2; k++) plant.runPeriod();
    plant.command(7, 0.5, 0, 0);
    plant.runPeriod();
    plant.command(7, 0.2, 0, 0);
    plant.runPeriod();
    // Rising half at 0.5, falling half at 0.2: each half has its own mean.
    const first = plant.read('meanA');
    plant.runPeriod();
    const second = plant.read('meanA');
    const because = 'edges keep their exact time';
    expect([first, second].map((v) => Math.round((1e6 * v) / VDC) / 1e6).sort()).toEqual([0.2, 0.5]);
    expectNear(first + second, 0.7 * VDC, { abs: 1e-9, because });
  });
});
