/** Parameters of the motor: winding, magnet, iron, heat. */
import { list, number, type ValuesOf, whole } from './band.ts';

export const WINDING = Object.freeze({
  polePairs: whole(1, 20, 'pole pairs'),
  slots: whole(3, 60, 'slots of the stator; a slotless winding has none that count, its cogging is zero'),
  r_ohm: number(1e-4, 50, 'ohm', 'phase resistance at 20 °C'),
  ld_H: number(1e-7, 0.1, 'H', 'direct-axis inductance at zero current'),
  lq_H: number(1e-7, 0.1, 'H', 'quadrature-axis inductance at zero current'),
  magnet_Wb: number(1e-5, 1, 'Wb', 'peak flux that the magnets link with a phase at 20 °C'),
  satD2: number(0, 1e12, 'A/Wb²', 'odd saturation term of the d axis: tells north from south'),
  satD3: number(0, 1e16, 'A/Wb³', 'even saturation term of the d axis'),
  satCross: number(0, 1e12, 'A/Wb²', 'cross-saturation'),
  satQ3: number(0, 1e16, 'A/Wb³', 'saturation term of the q axis'),
  emf5: number(-0.2, 0.2, '', 'fifth harmonic of the magnet flux of a phase, as a share of the first'),
  emf7: number(-0.2, 0.2, '', 'seventh harmonic, as a share of the first'),
  cogPoles_Nm: number(0, 1, 'N·m', 'cogging of the order of the poles, 2p'),
  cogSlots_Nm: number(0, 1, 'N·m', 'cogging of the order of the slots, Q'),
  cogBoth_Nm: number(0, 1, 'N·m', 'cogging of the order lcm(Q, 2p)'),
  ironHysteresis_S_s: number(0, 1e5, 'A/(V·s)', 'iron loss per electrical speed and flux squared'),
  ironEddy_S: number(0, 100, 'S', 'iron loss per electrical speed squared and flux squared'),
  halls_rad: list(-6.3, 6.3, 'rad', 'electrical angles of the three Halls'),
});
export type WindingParams = ValuesOf<typeof WINDING>;

export const MAGNET = Object.freeze({
  temp_1_K: number(-0.003, 0, '1/K', 'reversible change of flux per kelvin above 20 °C'),
  knee_A: number(1, 1e5, 'A', 'demagnetising d current at 20 °C beyond which flux is lost for good'),
  kneeTemp_1_K: number(-0.02, 0, '1/K', 'change of that current per kelvin above 20 °C'),
  kneeLoss: number(0, 2, '', 'share of the flux that is lost per share of current beyond the knee'),
});
export type MagnetParams = ValuesOf<typeof MAGNET>;

export const HEAT = Object.freeze({
  ambient_K: number(233, 333, 'K', 'temperature of the air and of everything at the start'),
  winding_J_K: number(0.1, 1e4, 'J/K', 'heat capacity of the winding'),
  windingHousing_K_W: number(0.01, 50, 'K/W', 'from winding to housing'),
  housing_J_K: number(1, 1e5, 'J/K', 'heat capacity of the housing'),
  housingAir_K_W: number(0.05, 100, 'K/W', 'from housing to air'),
  magnet_s: number(0.1, 1e4, 's', 'time constant with which the magnets follow the housing'),
});
export type HeatParams = ValuesOf<typeof HEAT>;
