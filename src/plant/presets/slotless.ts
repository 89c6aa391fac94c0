/**
 * Two motor stands: a slotless motor of a public catalog page, wound for 24 V and for 36 V, on a stiff supply of its
 * voltage. What the page prints is taken over; the drill around it is that of the bench. In neutral the motor runs alone.
 *
 * No-load the page gives one current at one speed: torque = torque constant * current. How much of it is dry friction
 *         and how much grows with speed it does not say; half and half is illustrative.
 */
import { windingFromCatalogue } from '../catalogue.ts';
import type { DrillParams } from '../params.ts';
import { BENCH_18 } from './bench-18.ts';
import { derive, type Sourced } from './derive.ts';

interface CatalogPage {
  readonly nominal_V: number;
  readonly terminal_ohm: number;
  readonly terminal_H: number;
  readonly torqueConstant_Nm_A: number;
  readonly noLoad_A: number;
  readonly noLoad_rpm: number;
  readonly windingHousing_K_W: number;
  readonly page: string;
}

const FAMILY = 'slotless 4-pole motor of 30 mm and 200 W';
const FOR_24: CatalogPage = {
  nominal_V: 24,
  terminal_ohm: 0.102,
  terminal_H: 16e-6,
  torqueConstant_Nm_A: 13.6e-3,
  noLoad_A: 0.728,
  noLoad_rpm: 16_700,
  windingHousing_K_W: 0.209,
  page: `${FAMILY}, winding for 24 V: a public copy of its catalog page`,
};
const FOR_36: CatalogPage = {
  nominal_V: 36,
  terminal_ohm: 0.21,
  terminal_H: 37e-6,
  torqueConstant_Nm_A: 20.6e-3,
  noLoad_A: 0.482,
  noLoad_rpm: 16_700,
  windingHousing_K_W: 0.21,
  page: `${FAMILY}, winding for 36 V: repository mzlumi/ankle-prosthesis-sea-design, data/motors (2021, p. 261)`,
};

const OURS = 'illustrative';
const STIFF = 'illustrative; a stiff supply';
const NONE = 'a slotless winding; none';
/** Volts of one of the cells that stand for the supply. */
const CELL_V = 4;

/** The supply of the stand: as stiff as the bands allow, and the same all the time. */
const SUPPLY: Sourced = {
  'pack.capacity_As': [1e5, STIFF],
  'pack.charge': [0.5, STIFF],
  'pack.ocvCharge': [[0, 1], STIFF],
  'pack.ocvCell_V': [[CELL_V - 0.001, CELL_V + 0.001], STIFF],
  'pack.r0_ohm': [2e-4, STIFF],
  'pack.r0AtEmpty': [0, STIFF],
  'pack.r0Cold_K': [0, STIFF],
  'pack.r1_ohm': [1e-5, STIFF],
  'pack.c1_F': [1e6, STIFF],
  'pack.r2_ohm': [1e-5, STIFF],
  'pack.c2_F': [1e7, STIFF],
  'pack.chargeSpread': [0, STIFF],
  'pack.capacitySpread': [0, STIFF],
  'pack.r0Spread': [0, STIFF],
  'pack.leads_ohm': [5e-4, STIFF],
  'pack.leads_H': [0, STIFF],
  'pack.bounces': [0, OURS],
  'pack.bounce_s': [0, OURS],
  'pack.overCurrent_A': [400, OURS],
  'pack.cellLow_V': [1, OURS],
  'pack.cellHigh_V': [5, OURS],
  'pack.cell_J_K': [2000, STIFF],
  'bridge.rds_ohm': [5e-4, OURS],
  'bridge.avalanche_V': [60, '60 V switches; common practice, no source'],
};

/** Nothing of a slotted motor: no cogging, no saliency, no saturation, a sinusoidal EMF. */
const SLOTLESS: Sourced = {
  'winding.slots': [6, 'a slotless winding has none that count'],
  'winding.satD2': [0, NONE],
  'winding.satD3': [0, NONE],
  'winding.satCross': [0, NONE],
  'winding.satQ3': [0, NONE],
  'winding.emf5': [0, NONE],
  'winding.emf7': [0, NONE],
  'winding.cogPoles_Nm': [0, NONE],
  'winding.cogSlots_Nm': [0, NONE],
  'winding.cogBoth_Nm': [0, NONE],
  'winding.ironHysteresis_S_s': [0, 'illustrative; counted with the dry friction'],
  'magnet.knee_A': [1000, 'illustrative; far above the current at stall'],
};

/** Gears that bring a motor of 16 700 rpm to the speeds of a drill. */
const GEARS: Sourced = {
  'gear.sunTeeth': [[20, 20, 18], 'illustrative; each stage meets ring = sun + 2 planets and (sun + ring) / 3 whole'],
  'gear.ringTeeth': [[40, 40, 54], 'see sunTeeth'],
};

function stand(name: string, m: CatalogPage): DrillParams {
  const w = windingFromCatalogue({ ...m, convention: 'mean', polePairs: 2 });
  const half_Nm = 0.5 * m.torqueConstant_Nm_A * m.noLoad_A;
  const noLoad_rad_s = (m.noLoad_rpm * Math.PI) / 30;
  const flux = w.polePairs * w.magnet_Wb;
  const cells = m.nominal_V / CELL_V;
  const split = 'half of torque constant times no-load current; the halves are illustrative';
  return derive(BENCH_18, name, `Motor stand, slotless motor for ${m.nominal_V} V`, SUPPLY, SLOTLESS, GEARS, {
    'pack.series': [cells, `${cells} times ${CELL_V} V make the ${m.nominal_V} V of the catalog page`],
    'winding.polePairs': [w.polePairs, m.page],
    'winding.r_ohm': [w.r_ohm, `half of the terminal resistance; ${m.page}`],
    'winding.ld_H': [w.ld_H, `half of the terminal inductance; ${m.page}`],
    'winding.lq_H': [w.lq_H, 'as ld_H'],
    'winding.magnet_Wb': [w.magnet_Wb, `torque constant as the mean over 60 degrees; ${m.page}`],
    'winding.ironEddy_S': [half_Nm / noLoad_rad_s / (flux * flux), `${split}; ${m.page}`],
    'shaft.rotorFriction_Nm': [half_Nm, `${split}; ${m.page}`],
    'shaft.rotorViscous_Nms': [0, 'illustrative; counted with the eddy currents'],
    'shaft.windage_Nms2': [0, 'illustrative; counted with the eddy currents'],
    'shaft.rotor_kgm2': [3.33e-6, m.page],
    'heat.windingHousing_K_W': [m.windingHousing_K_W, m.page],
    'heat.winding_J_K': [2.11 / m.windingHousing_K_W, `time constant 2.11 s over the resistance; ${m.page}`],
    'heat.housingAir_K_W': [7.4, m.page],
    'heat.housing_J_K': [1180 / 7.4, `time constant 1180 s over the resistance; ${m.page}`],
    'heat.magnet_s': [600, OURS],
  });
}

export const SLOTLESS_24: DrillParams = stand('slotless-24', FOR_24);
export const SLOTLESS_36: DrillParams = stand('slotless-36', FOR_36);
