/**
 * A light drill of the 12 V class: three cells in one row, a small fast motor of four poles, a chuck of 10 mm. Constructed
 * for this project from the bench drill; pole pairs * magnet flux = half-charged pack / sqrt 3 / no-load speed.
 */
import { BENCH_18 } from './bench-18.ts';
import { derive } from './derive.ts';

const OURS = 'illustrative';
const SWITCH = 'read on xonelec.com (a 40 V switch)';
const SCALED = 'illustrative; that of the bench drill, scaled to half the current';
const ROW = 'illustrative; one row of cells where the bench drill has two';

export const LIGHT_12 = derive(BENCH_18, 'light-12', 'Light drill, 12 V class, two gears', {
  'pack.series': [3, 'three lithium cells in series make the 12 V class; common practice, no source'],
  'pack.capacity_As': [2.08 * 3600, 'one row of 18650 cells; 2.08 Ah measured at C/2, read on batemo.de'],
  'pack.r0_ohm': [0.015, 'sheets of such cells allow 18 mohm at 1 kHz (one on datasheetcafe.com)'],
  'pack.r1_ohm': [0.003, ROW],
  'pack.c1_F': [600, ROW],
  'pack.r2_ohm': [0.004, ROW],
  'pack.c2_F': [15_000, ROW],
  'pack.leads_ohm': [0.012, OURS],
  'pack.overCurrent_A': [50, OURS],
  'pack.cell_J_K': [45, 'a cell of 45.1 g (read on batemo.de) at 1000 J/(kg K) (read on crino.de)'],
  'pack.cellAir_K_W': [16, ROW],
  'link.c_F': [330e-6, 'common practice, no source'],
  'bridge.rds_ohm': [5.8e-3, `typical value at 10 V and 20 A, ${SWITCH}`],
  'bridge.rise_s': [55e-9, SWITCH],
  'bridge.fall_s': [40e-9, SWITCH],
  'bridge.recovery_C': [17e-9, SWITCH],
  'winding.polePairs': [2, OURS],
  'winding.slots': [6, OURS],
  'winding.r_ohm': [0.016, OURS],
  'winding.ld_H': [22e-6, OURS],
  'winding.lq_H': [26e-6, OURS],
  'winding.magnet_Wb': [1.3e-3, OURS],
  'winding.satD2': [1.05e7, SCALED],
  'winding.satD3': [8.4e9, SCALED],
  'winding.satCross': [6.7e5, SCALED],
  'winding.satQ3': [6.5e8, SCALED],
  'winding.cogPoles_Nm': [0.0005, OURS],
  'winding.cogSlots_Nm': [0.001, OURS],
  'winding.cogBoth_Nm': [0.003, 'illustrative; 1 to 5 % of the rated torque, from memory'],
  'winding.ironEddy_S': [0.09, OURS],
  'magnet.knee_A': [150, OURS],
  'heat.winding_J_K': [14, OURS],
  'heat.windingHousing_K_W': [0.9, OURS],
  'heat.housing_J_K': [100, OURS],
  'heat.housingAir_K_W': [6, OURS],
  'shaft.rotor_kgm2': [1.6e-6, OURS],
  'shaft.rotorFriction_Nm': [0.004, OURS],
  'shaft.rotorViscous_Nms': [5e-7, OURS],
  'shaft.windage_Nms2': [1e-10, OURS],
  'shaft.chuck_kgm2': [3.2e-5, 'a cylinder of 0.2 kg and 36 mm, half m r^2'],
  'shaft.chuckFriction_Nm': [0.015, OURS],
  'gear.sunTeeth': [[18, 24, 18], 'illustrative; each stage meets ring = sun + 2 planets and (sun + ring) / 3 whole'],
  'gear.ringTeeth': [[54, 60, 54], 'see sunTeeth'],
  'gear.stiffness_Nm_rad': [80, OURS],
  'gear.damping_Nms': [0.012, OURS],
  'clutch.settings_Nm': [[0.4, 0.6, 0.8, 1, 1.3, 1.6, 1.9, 2.2, 2.5, 2.8, 3.2, 3.6, 4, 4.5, 5], OURS],
  'body.body_kgm2': [0.02, OURS],
});
