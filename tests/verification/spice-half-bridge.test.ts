/**
 * Mean pole voltage with dead time, switches, body diodes and shunts, against ngspice on the same half bridge.
 *
 * Source  tests/spice/half-bridge.cir as solved by ngspice (results.json).
 */
import { describe, it } from 'vitest';
import { deck } from '../spice/deck.ts';
import { circuit, switchedOn } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, linearWinding, livePlant, merge, TINY } from '../support/rigs.ts';

const { params: p, numbers } = deck('half-bridge');
/** A winding of ten henry is a current source: 18 V for 150 us move its current by less than 0.3 mA. */
const L_H = 10;

/** Mean voltage of pole A over the third period, i_A flowing out of it and half of that into each of the others. */
function pole_V(duty: number, i_A: number): number {
  const winding = linearWinding({ r_ohm: TINY, ld_H: L_H, lq_H: L_H, magnet_Wb: TINY });
  const plant = livePlant(drillWith(merge(circuit(p), winding)), 1e-6);
  switchedOn(plant, 7, [duty, duty, duty], { psiAlpha: i_A * L_H, iAlpha: i_A });
  for (let k = 0; k < 3; k++) plant.runPeriod();
  return plant.read('meanA');
}

describe('half bridge', () => {
  it.each([
    ['gives 10 A at duty 0.5', p.duty, p.load_A, numbers.gives_V],
    ['takes 10 A at duty 0.5', p.duty, -p.load_A, numbers.takes_V],
    ['gives 10 A at duty 0.8', p.duty2, p.load_A, numbers.gives80_V],
    ['takes 10 A at duty 0.8', p.duty2, -p.load_A, numbers.takes80_V],
  ])('%s at the mean voltage of the circuit', (_, duty, i_A, expected) => {
    expectNear(pole_V(duty, i_A), expected, {
      abs: 1.2e-5,
      because: 'two gate edges of 10 ps times 19 V in a period are 7.6 uV; 0.3 mA on 5 mohm are 1.5 uV; nine digits',
    });
  });
});
