/**
 * A heavy drill of the 36 V class: ten large cells in one row, switches for 60 V, a motor of twice the flux. Constructed
 * for this project from the bench drill; pole pairs * magnet flux = half-charged pack / sqrt 3 / no-load speed.
 */
import { BENCH_18 } from './bench-18.ts';
import { derive } from './derive.ts';

const OURS = 'illustrative';
const SCALED = 'illustrative; as in the bench drill at the same current, scaled to the larger flux';

export const HEAVY_36 = derive(BENCH_18, 'heavy-36', 'Heavy drill, 36 V class, two gears', {
  'pack.series': [10, 'ten lithium cells in series make the 36 V class; common practice, no source'],
  'pack.capacity_As': [4 * 3600, 'one row of 21700 cells of 4.0 Ah; read on battscore.com, 40TG'],
  'pack.r0_ohm': [0.01, 'sheet limit is 10 mohm at 1 kHz (battscore.com, 40TG)'],
  'pack.r1_ohm': [0.002, OURS],
  'pack.c1_F': [900, OURS],
  'pack.r2_ohm': [0.0025, OURS],
  'pack.c2_F': [24_000, OURS],
  'pack.leads_H': [1.5e-6, OURS],
  'pack.overCurrent_A': [80, OURS],
  'pack.cell_J_K': [70, 'a cell of 70 g (battscore.com, 40TG) at 1000 J/(kg K) (read on crino.de)'],
  'pack.cellAir_K_W': [11, OURS],
  'link.c_F': [680e-6, 'common practice, no source'],
  'bridge.rds_ohm': [0.002, 'common practice, no source'],
  'bridge.avalanche_V': [60, '60 V switches for a 36 V pack; common practice, no source'],
  'winding.r_ohm': [0.018, OURS],
  'winding.ld_H': [30e-6, OURS],
  'winding.lq_H': [38e-6, OURS],
  'winding.magnet_Wb': [2.4e-3, OURS],
  'winding.satD2': [2.8e6, SCALED],
  'winding.satD3': [8.3e8, SCALED],
  'winding.satCross': [1.6e5, SCALED],
  'winding.satQ3': [5.2e7, SCALED],
  'winding.cogPoles_Nm': [0.002, OURS],
  'winding.cogSlots_Nm': [0.004, OURS],
  'winding.cogBoth_Nm': [0.01, 'illustrative; 1 to 5 % of the rated torque, from memory'],
  'winding.ironHysteresis_S_s': [130, OURS],
  'winding.ironEddy_S': [0.026, OURS],
  'magnet.knee_A': [200, OURS],
  'heat.winding_J_K': [45, OURS],
  'heat.windingHousing_K_W': [0.4, OURS],
  'heat.housing_J_K': [350, OURS],
  'heat.housingAir_K_W': [2.5, OURS],
  'shaft.rotor_kgm2': [9e-6, OURS],
  'shaft.rotorFriction_Nm': [0.009, OURS],
  'shaft.rotorViscous_Nms': [1.8e-6, OURS],
  'shaft.windage_Nms2': [6e-10, OURS],
  'shaft.chuckFriction_Nm': [0.03, OURS],
  'gear.sunTeeth': [[12, 24, 18], 'illustrative; each stage meets ring = sun + 2 planets and (sun + ring) / 3 whole'],
  'gear.ringTeeth': [[36, 54, 54], 'see sunTeeth'],
  'gear.stiffness_Nm_rad': [250, OURS],
  'gear.damping_Nms': [0.04, OURS],
  'clutch.settings_Nm': [[1, 1.6, 2.2, 2.8, 3.4, 4, 4.7, 5.4, 6.1, 6.8, 7.6, 8.4, 9.2, 10, 11], OURS],
  'body.body_kgm2': [0.05, OURS],
  'body.wristGrip_Nm': [35, OURS],
});
