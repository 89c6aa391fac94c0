/**
 * The whole plant loses a factor 4 of error when the step is halved.
 *
 * Source  Richardson: with order p, y(2h) - y(h) is 2^p times y(h) - y(h/2). The run has PWM edges, dead time, current
 *         zeros in diodes, gear contact, a screw in wood and a sagging link, so it tells the order of all of them together.
 *
 * The duties are chosen so that every edge lies on each of the three grids. Off the grid a step is split at the edge, the
 * error only gets smaller, but by another share on each grid, and the ratio of errors says nothing about the order.
 */
import { describe, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import type { SlotName } from '../../src/plant/slots.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, set } from '../support/rigs.ts';

const WATCHED = [
  'psiAlpha',
  'psiBeta',
  'rotorSpeed',
  'rotorAngle',
  'chuckSpeed',
  'twist',
  'depth',
  'capacitor',
] as const;

/** 100 us a period: a duty in steps of 0.02 puts its edges on a grid of 1 us. */
const drill = drillWith({ bridge: { pwm_Hz: 10_000, deadTime_s: 2e-6 } });

/** State after 3 ms of sinusoidal drive, three legs driven, in the middle of a screw. */
function endState(h_s: number): Record<string, number> {
  const plant = livePlant(drill, h_s, 0.4);
  const we = 1200;
  plant.hands.set('meets', LOADS.indexOf('screw'));
  set(plant, { rotorSpeed: we / 4, chuckSpeed: we / 4 / 14, twist: 0.04, depth: 0.02 });
  for (let k = 0; k < 30; k++) {
    // Voltage a quarter turn ahead of the rotor at the middle of the period it acts in: steady torque into the screw.
    const angle = 4 * (plant.read('rotorAngle') + 1.5 * plant.period_s * plant.read('rotorSpeed')) + Math.PI / 2;
    const duty = (shift: number) => 0.5 + Math.round(5.5 * Math.cos(angle - shift)) / 50;
    plant.command(7, duty(0), duty((2 * Math.PI) / 3), duty((4 * Math.PI) / 3));
    plant.runPeriod();
  }
  return Object.fromEntries(WATCHED.map((name: SlotName) => [name, plant.read(name)]));
}

describe('whole plant', () => {
  const [coarse, middle, fine] = [1e-6, 0.5e-6, 0.25e-6].map(endState);

  it.each(WATCHED)('converges with order 2 in %s', (name) => {
    const ratio = (coarse[name] - middle[name]) / (middle[name] - fine[name]);
    expectNear(Math.log2(ratio), 2, {
      abs: 0.1,
      because: 'the next term of the error is h^4; kinks at current zeros are split',
    });
  });
});
