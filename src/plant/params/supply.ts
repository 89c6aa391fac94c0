/** Parameters of pack, trigger contact, protection and DC link. */
import { list, number, type ValuesOf, whole } from './band.ts';

export const PACK = Object.freeze({
  series: whole(1, 14, 'cells in series, each standing for its parallel group'),
  capacity_As: number(1000, 1e5, 'A·s', 'charge of the pack at its label'),
  charge: number(0, 1, '', 'state of charge at the start'),
  ocvCharge: list(0, 1, '', 'state of charge of the points of the open-circuit curve, rising'),
  ocvCell_V: list(1.5, 4.5, 'V', 'cell voltage at these points, rising'),
  r0_ohm: number(2e-4, 0.2, 'ohm', 'series resistance of a cell group at half charge and 25 °C'),
  r0AtEmpty: number(0, 20, '', 'by how much more r0 has when empty, as a share of r0'),
  r0Fades: number(0.005, 0.5, '', 'charge over which that falls to 1/e'),
  r0Cold_K: number(0, 6000, 'K', 'exponent B of r0 over temperature, exp(B (1/T - 1/298.15))'),
  r1_ohm: number(1e-5, 0.2, 'ohm', 'fast pair of a cell group'),
  c1_F: number(1, 1e6, 'F', 'fast pair of a cell group'),
  r2_ohm: number(1e-5, 0.2, 'ohm', 'slow pair of a cell group'),
  c2_F: number(1, 1e7, 'F', 'slow pair of a cell group'),
  chargeSpread: number(0, 0.1, '', 'deviation of the state of charge between cells, drawn from the seed'),
  capacitySpread: number(0, 0.1, '', 'deviation of cell capacity, as a share'),
  r0Spread: number(0, 0.3, '', 'deviation of cell resistance, as a share'),
  leads_ohm: number(1e-4, 0.2, 'ohm', 'links, leads and the closed trigger contact'),
  leads_H: number(0, 2e-5, 'H', 'inductance of the leads between cells and link'),
  contactCloses: number(0.001, 0.5, '', 'trigger travel at which the contact closes'),
  contactOpens: number(0.0005, 0.5, '', 'trigger travel at which it opens'),
  bounces: whole(0, 20, 'times that the contact opens again after it has closed'),
  bounce_s: number(0, 0.02, 's', 'time after closing within which it bounces'),
  overCurrent_A: number(5, 1000, 'A', 'pack current above which the protection opens'),
  overCurrentDelay_s: number(1e-5, 10, 's', 'after this time'),
  cellLow_V: number(1, 3.5, 'V', 'cell voltage under load below which it opens'),
  cellHigh_V: number(4, 5, 'V', 'cell voltage above which it opens'),
  cellDelay_s: number(1e-4, 10, 's', 'time for which a cell may be outside'),
  hot_K: number(303, 393, 'K', 'cell temperature above which it opens'),
  cell_J_K: number(10, 2000, 'J/K', 'heat capacity of a cell group'),
  cellAir_K_W: number(0.1, 200, 'K/W', 'from a cell group to the air'),
});
export type PackParams = ValuesOf<typeof PACK>;

export const LINK = Object.freeze({
  c_F: number(1e-6, 0.1, 'F', 'capacitance at the bridge'),
  esr_ohm: number(0, 1, 'ohm', 'series resistance of the capacitance'),
  logic_ohm: number(10, 1e6, 'ohm', 'logic supply, seen as a resistance across the link'),
  logicUp_V: number(1, 60, 'V', 'link voltage at which the logic comes up'),
  logicDown_V: number(1, 60, 'V', 'link voltage at which it goes down (brown-out)'),
});
export type LinkParams = ValuesOf<typeof LINK>;
