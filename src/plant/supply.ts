/**
 * Pack, trigger contact and DC link.
 *
 * Model   OCV(charge) behind a series resistance and two RC pairs, all cells alike; the link is a capacitance with ESR
 *         and the logic supply as a resistance across it. The contact closes the two together.
 * Scheme  trapezoidal rule in closed form for link and current, given the mean current of the bridge; the RC voltages
 *         enter at mid-step, predicted from their own slope. Order 2.
 * Source  two-pair model: Chen, Rincon-Mora, "Accurate electrical battery model capable of predicting runtime and I-V
 *         performance", IEEE Trans. Energy Convers. 21(2), 2006, 504-511 (coefficients read in public copies).
 */
import type { LinkParams, PackParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const CHARGE = slot('charge');
const OCV = slot('ocv');
const RC1 = slot('rc1');
const RC2 = slot('rc2');
const CONTACT = slot('contact');
const PACK_CURRENT = slot('packCurrent');
const CAPACITOR = slot('capacitor');
const TRIGGER = slot('trigger');
const POWERED = slot('powered');

const DT = work('dt');
const EMF = work('emfCells');
const RC1_MID = work('rc1Mid');
const RC2_MID = work('rc2Mid');
const SLOPE = work('packSlope');
const LINK_IDLE = work('linkIdle');
const LINK_OHM = work('linkOhm');
const LINK = work('link');
const PACK = work('pack');
const INVERTER = work('inverter');
const INTO = work('capacitor');

/** Open-circuit voltage of a cell [V] by straight lines between the points of its curve; ends are held. */
export function cellOcv_V(p: PackParams, charge: number): number {
  const s = p.ocvCharge;
  const v = p.ocvCell_V;
  const last = s.length - 1;
  if (charge <= s[0]) return v[0];
  if (charge >= s[last]) return v[last];
  let k = 1;
  while (charge > s[k]) k++;
  return v[k - 1] + ((v[k] - v[k - 1]) * (charge - s[k - 1])) / (s[k] - s[k - 1]);
}

/** Series resistance of the pack with its leads and the closed contact [ohm]. */
export function packResistance_ohm(p: PackParams): number {
  return p.series * p.r0_ohm + p.leads_ohm;
}

/** Once a period: open-circuit voltage, trigger contact, and whether the logic has supply. */
export function renewSupply(x: Float64Array, pack: PackParams, link: LinkParams): void {
  x[OCV] = pack.series * cellOcv_V(pack, x[CHARGE]);
  if (x[TRIGGER] >= pack.contactCloses) x[CONTACT] = 1;
  if (x[TRIGGER] < pack.contactOpens) x[CONTACT] = 0;
  if (x[CAPACITOR] > link.logicUp_V) x[POWERED] = 1;
  if (x[CAPACITOR] < link.logicDown_V) x[POWERED] = 0;
}

/** Once a stretch: pack and link as a source behind a resistance, seen from the bridge. */
export function startSupply(x: Float64Array, w: Float64Array, pack: PackParams, link: LinkParams): void {
  const half = 0.5 * w[DT];
  const n = pack.series;
  w[RC1_MID] = x[RC1] + (half / pack.c1_F) * (n * x[PACK_CURRENT] - x[RC1] / pack.r1_ohm);
  w[RC2_MID] = x[RC2] + (half / pack.c2_F) * (n * x[PACK_CURRENT] - x[RC2] / pack.r2_ohm);
  const emf = x[OCV] - w[RC1_MID] - w[RC2_MID];
  const slope = x[CONTACT] / packResistance_ohm(pack);
  const z = link.esr_ohm + half / link.c_F;
  const share = 1 / (1 + z * (slope + 1 / link.logic_ohm));
  w[EMF] = emf;
  w[SLOPE] = slope;
  w[LINK_IDLE] = (x[CAPACITOR] + z * emf * slope) * share;
  w[LINK_OHM] = z * share;
}

/** After the last pass: pack current and current into the capacitance, from link voltage and bridge current. */
export function solveSupply(w: Float64Array, link: LinkParams): void {
  const pack = (w[EMF] - w[LINK]) * w[SLOPE];
  w[PACK] = pack;
  w[INTO] = pack - w[LINK] / link.logic_ohm - w[INVERTER];
}

/** End of a step: new charge and voltages. */
export function commitSupply(x: Float64Array, w: Float64Array, pack: PackParams, link: LinkParams): void {
  const dt = w[DT];
  const i = w[PACK];
  const n = pack.series;
  x[RC1] += (dt / pack.c1_F) * (n * i - w[RC1_MID] / pack.r1_ohm);
  x[RC2] += (dt / pack.c2_F) * (n * i - w[RC2_MID] / pack.r2_ohm);
  x[CHARGE] -= (i * dt) / pack.capacity_As;
  x[CAPACITOR] += (dt / link.c_F) * w[INTO];
  x[PACK_CURRENT] = i;
}

/** Energy stored in the RC pairs and the link [J]. */
export function storedSupply(x: Float64Array, pack: PackParams, link: LinkParams): number {
  const pairs = (pack.c1_F * x[RC1] * x[RC1] + pack.c2_F * x[RC2] * x[RC2]) / pack.series;
  return 0.5 * (pairs + link.c_F * x[CAPACITOR] * x[CAPACITOR]);
}
