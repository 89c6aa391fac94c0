/** Machine S: a salient machine without saturation whose answers are tabled; made up for tests. */
import type { WindingParams } from '../../src/plant/params.ts';

export const MACHINE_S: WindingParams = Object.freeze({
  polePairs: 4,
  r_ohm: 0.05,
  ld_H: 40e-6,
  lq_H: 60e-6,
  magnet_Wb: 4e-3,
  satD2: 0,
  satD3: 0,
  satCross: 0,
  satQ3: 0,
  slots: 12,
  emf5: 0,
  emf7: 0,
  cogPoles_Nm: 0,
  cogSlots_Nm: 0,
  cogBoth_Nm: 0,
  ironHysteresis_S_s: 0,
  ironEddy_S: 0,
  halls_rad: [0, 0, 0] as const,
});
