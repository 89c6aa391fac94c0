/**
 * The drill as a direct-current circuit: what resistances and constants come to while nothing has warmed up.
 *
 * State   pack half full and rested, everything at the temperature of the air, magnets whole, no saturation.
 * Block   two phases carry the current for 60 degrees, loop = pack + high switch + two phases + low switch + shunt. Mean
 *         torque per ampere = mean line EMF per speed = 3 sqrt 3 / pi * p lambda (1 - h5 - h7): the flux of two phases in
 *         series changes by sqrt 3 lambda (1 - h5 - h7) over the 60 degrees.
 * Sine    torque per peak ampere of the q current = 1.5 p lambda.
 */
import { COPPER_1_K } from '../heat.ts';
import type { DrillParams } from '../params.ts';
import { cellOcv_V, cellResistance_ohm } from '../supply.ts';

export interface Circuit {
  readonly full_V: number;
  /** Half full and at rest. */ readonly nominal_V: number;
  readonly empty_V: number;
  readonly pack_ohm: number;
  readonly switch_ohm: number;
  readonly phase_ohm: number;
  /** Phase to phase. */ readonly line_ohm: number;
  /** Everything that the current of two phases at full duty passes. */ readonly loop_ohm: number;
  readonly magnet_Wb: number;
  readonly block_Nm_A: number;
  readonly sine_Nm_A: number;
}

const T20_K = 293.15;
const T25_K = 298.15;
const HALF = 0.5;
const ROOT_3 = Math.sqrt(3);

export function circuitOf(p: DrillParams): Circuit {
  const { pack, bridge, winding } = p;
  const air_K = p.heat.ambient_K;
  const warm = air_K - T25_K;
  const pack_ohm = pack.series * cellResistance_ohm(pack, HALF, air_K) + pack.leads_ohm;
  const switch_ohm = bridge.rds_ohm * (1 + warm * (bridge.rdsTemp_1_K + warm * bridge.rdsTemp2_1_K2));
  const phase_ohm = winding.r_ohm * (1 + COPPER_1_K * (air_K - T20_K));
  const magnet_Wb = winding.magnet_Wb * (1 + p.magnet.temp_1_K * (air_K - T20_K));
  const flux = winding.polePairs * magnet_Wb;
  return {
    full_V: pack.series * cellOcv_V(pack, 1),
    nominal_V: pack.series * cellOcv_V(pack, HALF),
    empty_V: pack.series * cellOcv_V(pack, 0),
    pack_ohm,
    switch_ohm,
    phase_ohm,
    line_ohm: 2 * phase_ohm,
    loop_ohm: pack_ohm + 2 * (phase_ohm + switch_ohm) + bridge.shunt_ohm,
    magnet_Wb,
    block_Nm_A: ((3 * ROOT_3) / Math.PI) * flux * (1 - winding.emf5 - winding.emf7),
    sine_Nm_A: 1.5 * flux,
  };
}
