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
  halls_rad: [0, 0, 0] as const,
});
