/**
 * What the controller was not told: the motor is another one than was commissioned, it is cold or hot, the counts are noisy, a
 * shunt is missing. The facts stay those of the bench drill at 20 °C.
 *
 * Resistance  of a phase with switch and shunt, all put into the winding.
 * Inductance  both axes with their saturation: the same currents at four fifths of the flux, so each term of the map is divided by
 *             0.8 to its power.
 * Air         everything in the drill starts at its temperature; winding, magnets and pack follow by their own laws.
 */
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import type { Overrides } from '../support/rigs.ts';
import type { Conditions } from './rig.ts';

export interface Case extends Conditions {
  readonly name: string;
}

const { winding, bridge } = BENCH_18;
const R_MORE = 0.4;
const L_LESS = 0.8;
const FLUX_LESS = 0.92;
const ZERO_C = 273.15;

const resistance = winding.r_ohm + R_MORE * (winding.r_ohm + bridge.rds_ohm + 0.5 * bridge.shunt_ohm);
const inductance = {
  ld_H: L_LESS * winding.ld_H,
  lq_H: L_LESS * winding.lq_H,
  satD2: winding.satD2 / L_LESS ** 2,
  satD3: winding.satD3 / L_LESS ** 3,
  satCross: winding.satCross / L_LESS ** 2,
  satQ3: winding.satQ3 / L_LESS ** 3,
};
const flux = { magnet_Wb: FLUX_LESS * winding.magnet_Wb };
const air = (celsius: number): Overrides => ({ heat: { ambient_K: ZERO_C + celsius } });

export const CASES: readonly Case[] = [
  { name: 'R +40 %', change: { winding: { r_ohm: resistance } } },
  { name: 'L -20 %', change: { winding: inductance } },
  { name: 'flux -8 %', change: { winding: flux } },
  { name: '-10 °C', change: air(-10) },
  { name: '60 °C', change: air(60) },
  { name: 'noise 2 counts', board: { noise_counts: 2 } },
  { name: 'two shunts', board: { shunts: 'ab' } },
  {
    name: 'all at 60 °C',
    change: { ...air(60), winding: { r_ohm: resistance, ...inductance, ...flux } },
    board: { noise_counts: 2, shunts: 'ab' },
  },
];
