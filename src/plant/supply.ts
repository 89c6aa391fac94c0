/**
 * Pack, its protection, and the trigger contact: everything about the supply that is slower than a PWM period.
 *
 * Model   cells in series, each with its own charge, size and resistance; OCV(charge) and resistance over charge and
 *         temperature; two RC pairs for the pack, all cells alike in that. The contact closes with the trigger and bounces
 *         a few times. The protection opens on current, cell voltage or heat, and stays open until the trigger is let go.
 *         Leads, link and what flows within a period are in stretch.ts and kernel.ts.
 * Scheme  once an update: RC pairs at mid-update from their own slope, order 2; charge by counting.
 * Source  two-pair model: Chen, Rincon-Mora, "Accurate electrical battery model capable of predicting runtime and I-V
 *         performance", IEEE Trans. Energy Convers. 21(2), 2006, 504-511 (coefficients read in public copies).
 */
import { exponential } from '../units/elementary.ts';
import type { LinkParams, PackParams } from './params.ts';
import { drawBell } from './random.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

/** Why the protection of the pack is open; the index is the value of the slot `protection`. */
export const PROTECTIONS = ['closed', 'over-current', 'cell low', 'cell high', 'hot', 'without a cause'] as const;
const CAUSELESS = 5;

/** Updates between two renewals of what moves with charge and temperature alone. */
const SELDOM = 16;
const PER_298 = 1 / 298.15;

const X = {
  tick: slot('tick'),
  seed: slot('seed'),
  trigger: slot('trigger'),
  charge: slot('charge'),
  ocv: slot('ocv'),
  packOhm: slot('packOhm'),
  rc1: slot('rc1'),
  rc2: slot('rc2'),
  contact: slot('contact'),
  want: slot('contactWant'),
  bounceFor: slot('bounceFor'),
  protection: slot('protection'),
  overFor: slot('overFor'),
  outFor: slot('outFor'),
  heat: slot('cellHeat'),
  mean: slot('packMean'),
  mark: slot('packMark'),
  current: slot('packCurrent'),
  voltage: slot('packVoltage'),
  capacitor: slot('capacitor'),
  powered: slot('powered'),
  cell: slot('cell0'),
  cellOhm: slot('cellOhm0'),
  cellSize: slot('cellSize0'),
  cellLost: slot('cellLost'),
  cellOhmMore: slot('cellOhmMore'),
  cellsCold: slot('cellsCold'),
  contactOhm: slot('contactOhm'),
  packOff: slot('packOff'),
  contactOff: slot('contactOff'),
  welded: slot('contactWelded'),
  linkLost: slot('linkLost'),
  linkGone: slot('linkGone'),
  linkEsr: slot('linkEsrMore'),
  lossLink: slot('lossLink'),
  sumCharge: slot('sumCharge'),
  loss: slot('lossPack'),
  source: slot('source'),
  passed: slot('passed'),
} as const;

const PERIOD = work('period');
const EMF = work('emfCells');
const PACK_OHM = work('packOhm');
const CLOSED = work('closed');
const ESR_MORE = work('esrMore');
const RC1_MID = work('rc1Mid');
const RC2_MID = work('rc2Mid');

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

/** Resistance of a cell group of mean quality [ohm] at a charge, 0 to 1, and a temperature. */
export function cellResistance_ohm(p: PackParams, charge: number, heat_K: number): number {
  const empty = p.r0AtEmpty > 0 ? p.r0AtEmpty * exponential(-charge / p.r0Fades) : 0;
  const cold = p.r0Cold_K > 0 ? exponential(p.r0Cold_K * (1 / heat_K - PER_298)) : 1;
  return p.r0_ohm * (1 + empty) * cold;
}

/** By how much the charge of cell k lies below what is counted: a weak one was full with the others and holds less. */
function behind(x: Float64Array, k: number): number {
  const lost = x[X.cellLost];
  return k === 0 ? ((1 - x[X.cell]) * lost) / (1 - lost) : 0;
}

/** What is left in cell k: charge, 0 to 1 of what it holds, and what it holds, over the mean. */
export function cellLeft(x: Float64Array, k: number): [charge: number, size: number] {
  const kept = k === 0 ? 1 - x[X.cellLost] : 1;
  return [x[X.cell + k] - behind(x, k), x[X.cellSize + k] * kept];
}

/** Draws the spread of the cells from the seed; called once, at the start. */
export function startPack(x: Float64Array, p: PackParams): void {
  for (let k = 0; k < p.series; k++) {
    const draw = (deviation: number) => (deviation > 0 ? deviation * drawBell(x, X.seed) : 0);
    const charge = p.charge + draw(p.chargeSpread);
    x[X.cell + k] = charge > 1 ? 1 : Math.max(charge, 0);
    x[X.cellSize + k] = 1 + draw(p.capacitySpread);
    x[X.cellOhm + k] = Math.max(0.1, 1 + draw(p.r0Spread));
  }
  x[X.charge] = p.charge;
}

/** Open-circuit voltage and series resistance of the pack, from its cells. */
export function renewCells(x: Float64Array, p: PackParams): void {
  let ocv = 0;
  let quality = x[X.cellOhmMore];
  for (let k = 0; k < p.series; k++) {
    ocv += cellOcv_V(p, x[X.cell + k] - behind(x, k));
    quality += x[X.cellOhm + k];
  }
  x[X.ocv] = ocv;
  const heat_K = x[X.heat] - x[X.cellsCold];
  x[X.packOhm] = quality * cellResistance_ohm(p, x[X.charge], heat_K) + p.leads_ohm;
}

/** Start of an update: contact, protection, and whether the logic has supply. */
export function beginSupply(x: Float64Array, w: Float64Array, p: PackParams, link: LinkParams): void {
  if (x[X.tick] % SELDOM === 0) renewCells(x, p);
  moveContact(x, w, p);
  if (x[X.packOff] === 1 && x[X.protection] === 0) x[X.protection] = CAUSELESS;
  else if (x[X.packOff] === 0 && x[X.protection] === CAUSELESS) x[X.protection] = 0;
  ageLink(x, w, link);
  const closed = x[X.contact] === 1 && x[X.protection] === 0;
  if (!closed && x[X.current] !== 0) {
    // What the leads had stored burns in the opening contact.
    x[X.loss] += 0.5 * p.leads_H * x[X.current] * x[X.current];
    x[X.current] = 0;
  }
  if (x[X.capacitor] > link.logicUp_V) x[X.powered] = 1;
  if (x[X.capacitor] < link.logicDown_V) x[X.powered] = 0;
  const half = 0.5 * w[PERIOD];
  const i = p.series * x[X.mean];
  w[RC1_MID] = x[X.rc1] + (half / p.c1_F) * (i - x[X.rc1] / p.r1_ohm);
  w[RC2_MID] = x[X.rc2] + (half / p.c2_F) * (i - x[X.rc2] / p.r2_ohm);
  w[EMF] = x[X.ocv] - w[RC1_MID] - w[RC2_MID];
  w[PACK_OHM] = x[X.packOhm] + x[X.contactOhm];
  w[CLOSED] = closed ? 1 : 0;
}

/** Takes the loss of link capacitance, or its end, into force: what was stored in it goes, or comes, with its part. */
function ageLink(x: Float64Array, w: Float64Array, link: LinkParams): void {
  w[ESR_MORE] = link.esr_ohm * x[X.linkEsr];
  if (x[X.linkLost] === x[X.linkGone]) return;
  x[X.lossLink] += 0.5 * link.c_F * (x[X.linkLost] - x[X.linkGone]) * x[X.capacitor] * x[X.capacitor];
  x[X.linkGone] = x[X.linkLost];
}

function moveContact(x: Float64Array, w: Float64Array, p: PackParams): void {
  if (x[X.trigger] >= p.contactCloses && x[X.want] === 0) {
    x[X.want] = 1;
    x[X.bounceFor] = 0;
  }
  if (x[X.trigger] < p.contactOpens) {
    x[X.want] = 0;
    x[X.protection] = 0;
    x[X.overFor] = 0;
    x[X.outFor] = 0;
  }
  // Closed and open in turns of equal length until it stays closed.
  const lap = p.bounces > 0 ? Math.floor((x[X.bounceFor] / p.bounce_s) * (2 * p.bounces)) : 0;
  const rests = x[X.bounceFor] >= p.bounce_s || lap % 2 === 0;
  const pressed = x[X.want] === 1 && x[X.contactOff] === 0 && rests;
  x[X.contact] = pressed || x[X.welded] === 1 ? 1 : 0;
  x[X.bounceFor] += w[PERIOD];
}

/** End of an update: charge, RC pairs, heat, and what the protection has seen. */
export function endSupply(x: Float64Array, w: Float64Array, p: PackParams): void {
  const t = w[PERIOD];
  const charge = x[X.sumCharge];
  const mean = charge / t;
  const given = x[X.ocv] * charge;
  x[X.source] += given;
  x[X.passed] += given < 0 ? -given : given;
  const i = p.series * mean;
  const before = pairs_J(x, p);
  x[X.rc1] += (t / p.c1_F) * (i - w[RC1_MID] / p.r1_ohm);
  x[X.rc2] += (t / p.c2_F) * (i - w[RC2_MID] / p.r2_ohm);
  // What went into the pairs and is not stored there is heat.
  x[X.loss] += charge * (w[RC1_MID] + w[RC2_MID]) - (pairs_J(x, p) - before);
  let lowest = 1e9;
  let highest = 0;
  let sum = 0;
  const inner = (x[X.packOhm] - p.leads_ohm) / (p.series + x[X.cellOhmMore]);
  const pair = (w[RC1_MID] + w[RC2_MID]) / p.series;
  const seldom = x[X.tick] % SELDOM === 0;
  for (let k = 0; k < p.series; k++) {
    x[X.cell + k] -= charge / (p.capacity_As * x[X.cellSize + k]);
    const left = x[X.cell + k] - behind(x, k);
    sum += left;
    if (!seldom) continue;
    const quality = x[X.cellOhm + k] + (k === 0 ? x[X.cellOhmMore] : 0);
    const v = cellOcv_V(p, left) - pair - mean * inner * quality;
    if (v < lowest) lowest = v;
    if (v > highest) highest = v;
  }
  x[X.charge] = sum / p.series;
  x[X.mean] = mean;
  x[X.voltage] = w[EMF] - mean * (x[X.packOhm] - p.leads_ohm);
  x[X.sumCharge] = 0;
  const outside = p.leads_ohm + x[X.contactOhm];
  const made = (x[X.loss] - x[X.mark]) * (1 - outside / (x[X.packOhm] + x[X.contactOhm]));
  x[X.mark] = x[X.loss];
  protect(x, w, p, mean, seldom ? lowest : 4, seldom ? highest : 3, seldom);
  heatCells(x, w, p, made);
}

function protect(
  x: Float64Array,
  w: Float64Array,
  p: PackParams,
  mean_A: number,
  lowest_V: number,
  highest_V: number,
  seldom: boolean,
): void {
  x[X.overFor] = mean_A > p.overCurrent_A || mean_A < -p.overCurrent_A ? x[X.overFor] + w[PERIOD] : 0;
  if (seldom) {
    const out = lowest_V < p.cellLow_V || highest_V > p.cellHigh_V;
    x[X.outFor] = out ? x[X.outFor] + SELDOM * w[PERIOD] : 0;
  }
  if (x[X.protection] !== 0 || x[X.want] === 0) return;
  if (x[X.overFor] > p.overCurrentDelay_s) x[X.protection] = 1;
  else if (seldom && x[X.outFor] > p.cellDelay_s) x[X.protection] = lowest_V < p.cellLow_V ? 2 : 3;
  else if (x[X.heat] > p.hot_K) x[X.protection] = 4;
}

const AIR = slot('ambient');

/** One node for all cells, by the implicit Euler rule: stable for any step. */
function heatCells(x: Float64Array, w: Float64Array, p: PackParams, made_J: number): void {
  const all = p.series * p.cell_J_K;
  const out = (p.series * w[PERIOD]) / (p.cellAir_K_W * all);
  x[X.heat] = (x[X.heat] + made_J / all + out * x[AIR]) / (1 + out);
}

/** Energy stored in the RC pairs [J]. */
function pairs_J(x: Float64Array, p: PackParams): number {
  return (0.5 * (p.c1_F * x[X.rc1] * x[X.rc1] + p.c2_F * x[X.rc2] * x[X.rc2])) / p.series;
}

/** Energy stored in the RC pairs, the leads and the link [J]. */
export function storedSupply(x: Float64Array, p: PackParams, link: LinkParams): number {
  const leads = p.leads_H * x[X.current] * x[X.current];
  return pairs_J(x, p) + 0.5 * (leads + link.c_F * (1 - x[X.linkGone]) * x[X.capacitor] * x[X.capacitor]);
}
