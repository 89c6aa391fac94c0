/**
 * Every fault of the drill itself, put in and taken out again under way: the numbers stay finite and the books closed.
 *
 * Source  conservation of energy.
 */
import { describe, expect, it } from 'vitest';
import { FAULTS } from '../../src/faults/catalogue.ts';
import { Injector } from '../../src/faults/injector.ts';
import type { FaultOrder } from '../../src/faults/order.ts';
import { LOADS } from '../../src/plant/load/index.ts';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { SIGNALS } from '../../src/signals.ts';

const PLACES = ['pack', 'link', 'bridge', 'motor', 'mechanics'];
/** High and low leg for each Hall code; six-step without a current limit, as rough as it gets. */
const HIGH = [0, 1, 2, 1, 0, 0, 2];
const LOW = [0, 2, 0, 0, 1, 2, 1];
const UPDATES = 6000;

function order(id: string, size: number | undefined): FaultOrder {
  const { legs } = FAULTS[id];
  const shape = { kind: 'intermittent', on_s: 0.02, off_s: 0.01 } as const;
  return { fault: id, size, leg: legs ? 'b' : undefined, begin: { kind: 'at', at_s: 0.05 }, shape };
}

/** Driven, switched off, driven with two legs, coasting, in turns, while the fault comes and goes. */
function play(id: string, size: number | undefined): Plant {
  const plant = new Plant(BENCH_18, { seed: 5, h_s: 1e-6 });
  const injector = new Injector([order(id, size)], 3);
  const sample = new Float64Array(SIGNALS.length);
  plant.hands.set('trigger', 1);
  plant.hands.set('clutch', 5);
  plant.hands.set('meets', LOADS.indexOf('screw'));
  for (let k = 0; k < UPDATES; k++) {
    injector.act(plant.tick * plant.period_s, plant.period_s, sample, plant.damage);
    const code = plant.read('hall');
    const duty = [0, 0, 0];
    duty[HIGH[code]] = 0.6;
    const two = (1 << HIGH[code]) | (1 << LOW[code]);
    const gates = [7, two, two, 0][Math.floor(k / 500) % 4];
    plant.command(gates, duty[0], duty[1], duty[2]);
    plant.runPeriod();
  }
  return plant;
}

describe.each(Object.values(FAULTS).filter(({ place }) => PLACES.includes(place)))('$id', ({ id, size }) => {
  it.each(size ? [size.usual, size.high] : [undefined])('of size %s keeps the books to 1e-6', (value) => {
    const plant = play(id, value);
    expect(plant.fault).toBe('');
    const { share, passed_J } = plant.energy();
    expect(passed_J).toBeGreaterThan(1);
    expect(Math.abs(share)).toBeLessThan(1e-6);
  });
});
