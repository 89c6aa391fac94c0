/**
 * How coarse a turn looks at full speed: 20 000 rpm, four pole pairs, 20 kHz.
 *
 * Source  20 000 / 60 * 4 = 1333.3 Hz and 20 kHz / 1333.3 Hz = 15 periods of 24 degrees: arithmetic. That the plant's
 *         frame turns within a period, and does not jump, is read from the flux of a winding whose legs are off.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { STILL } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, linearWinding, livePlant, merge, set } from '../support/rigs.ts';

const POLE_PAIRS = 4;
const SPEED_RPM = 20_000;
const DEGREE = Math.PI / 180;
const steady = 'a flywheel of 1e9 kg m^2 and rounding';

/** A locked speed: the magnet is weak enough for the diodes to block, the legs are off. */
function spinning(): Plant {
  const winding = linearWinding({ polePairs: POLE_PAIRS, magnet_Wb: 1e-4 });
  const plant = livePlant(drillWith(merge(STILL, idealSupply(18), winding)), 1e-6, 0);
  plant.hands.set('gear', 0);
  set(plant, { rotorSpeed: (SPEED_RPM * 2 * Math.PI) / 60 });
  plant.command(0, 0, 0, 0);
  return plant;
}

/** Electrical angle of the flux in the stator frame, 0 to 360 [degrees]. */
function fluxAngle(plant: Plant): number {
  const angle = Math.atan2(plant.read('psiBeta'), plant.read('psiAlpha')) / DEGREE;
  return (angle + 360) % 360;
}

describe('20 000 rpm with four pole pairs at 20 kHz', () => {
  it('is 24 degrees a period, in the angle of the rotor and in the flux of the winding', () => {
    const plant = spinning();
    for (let n = 1; n <= 30; n++) {
      const before = plant.read('rotorAngle');
      plant.runPeriod();
      const turned = (POLE_PAIRS * (plant.read('rotorAngle') - before)) / DEGREE;
      expectNear(turned, 24, { abs: 1e-9, because: steady });
      const off = fluxAngle(plant) - ((24 * n) % 360);
      expectNear(Math.sin(off * DEGREE), 0, { abs: 1e-9, because: 'the frame is turned by rotations good to 1e-12' });
    }
  });

  it('is 15 periods a turn, 1333.3 Hz', () => {
    const plant = spinning();
    const starts: number[] = [];
    let last = plant.read('psiBeta');
    while (starts.length < 4) {
      const t_s = plant.time_s;
      plant.step();
      const now = plant.read('psiBeta');
      if (last < 0 && now >= 0) starts.push(t_s + ((plant.time_s - t_s) * last) / (last - now));
      last = now;
    }
    const turn_s = (starts[3] - starts[0]) / 3;
    const why = 'zero crossings on straight lines between steps of half a degree';
    expectNear(1 / turn_s, 4000 / 3, { abs: 1e-3, because: why });
    expectNear(turn_s / plant.period_s, 15, { abs: 1e-5, because: why });
  });

  it('turns by 36 degrees in the period and a half between a sample and the middle of its answer', () => {
    const plant = spinning();
    plant.runPeriod();
    const sampled = plant.read('rotorAngle');
    // The duty that a command carries is in force a period later, and centered half a period after that.
    plant.command(7, 0.3, 0.5, 0.7);
    plant.runPeriod();
    const { tick } = plant;
    const edges: number[][] = [[], [], []];
    const on = ['onA', 'onB', 'onC'] as const;
    const before = [-1, -1, -1];
    while (plant.tick === tick) {
      plant.step();
      on.forEach((name, k) => {
        if (plant.read(name) !== before[k]) edges[k].push(plant.read('rotorAngle'));
        before[k] = plant.read(name);
      });
    }
    for (const pair of edges) {
      expect(pair.length).toBe(2);
      const turned = (POLE_PAIRS * ((pair[0] + pair[1]) / 2 - sampled)) / DEGREE;
      expectNear(turned, 36, { abs: 1e-6, because: steady });
    }
  });

  it('takes its frame along within a period', () => {
    const plant = spinning();
    plant.runPeriod();
    const from = fluxAngle(plant);
    for (let n = 1; n <= 25; n++) {
      plant.step();
      expectNear(fluxAngle(plant) - from, 0.48 * n, { abs: 1e-6, because: steady });
    }
  });
});
