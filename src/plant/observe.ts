/** The `truth` signals, from the plant as it stands between two updates. */
import { SIGNAL_INDEX as S } from '../signals.ts';
import { wrapTurn } from '../units/elementary.ts';
import { residualShare } from './audit.ts';
import { phaseCurrent_A } from './axes.ts';
import { clampForce_N } from './load/screw.ts';
import type { Plant } from './plant.ts';
import { type SlotName, slot } from './slots.ts';

/** Signals that are a slot as it is. */
const PLAIN: readonly (readonly [keyof typeof S, SlotName])[] = [
  ['packOcv', 'ocv'],
  ['packCurrent', 'packMean'],
  ['packVoltage', 'packVoltage'],
  ['charge', 'charge'],
  ['link', 'link'],
  ['poleA', 'meanA'],
  ['poleB', 'meanB'],
  ['poleC', 'meanC'],
  ['motorSpeed', 'rotorSpeed'],
  ['airGapTorque', 'airGap'],
  ['gearTorque', 'gearTorque'],
  ['chuckAngle', 'chuckAngle'],
  ['chuckSpeed', 'chuckSpeed'],
  ['loadTorque', 'loadTorque'],
  ['screwDepth', 'depth'],
  ['legHeatA', 'heatA'],
  ['legHeatB', 'heatB'],
  ['legHeatC', 'heatC'],
  ['windingHeat', 'windingHeat'],
  ['magnetHeat', 'magnetHeat'],
  ['cellHeat', 'cellHeat'],
  ['magnetFlux', 'magnet'],
  ['packOpen', 'protection'],
  ['avalanches', 'avalanches'],
  ['gearEngaged', 'engaged'],
  ['clutchSlip', 'slipAngle'],
  ['bodyAngle', 'bodyAngle'],
  ['bodySpeed', 'bodySpeed'],
  ['wristTorque', 'wristTorque'],
  ['push', 'push'],
  ['stripped', 'stripped'],
  ['shankTwist', 'shankTwist'],
  ['bitJumps', 'bitJumps'],
];
const TO = PLAIN.map(([id]) => S[id]);
const FROM = PLAIN.map(([, name]) => slot(name));

const I_A = slot('iAlpha');
const I_B = slot('iBeta');
const COS = slot('cos');
const SIN = slot('sin');
const ROTOR = slot('rotorSpeed');
const ANGLE = slot('rotorAngle');

/** Fills every `truth` column of a sample vector. */
export function observeTruth(plant: Plant, out: Float64Array): void {
  const x = plant.state;
  const p = plant.params;
  for (let k = 0; k < TO.length; k++) out[TO[k]] = x[FROM[k]];
  out[S.time] = plant.time_s;
  out[S.currentA] = phaseCurrent_A(0, x[I_A], x[I_B]);
  out[S.currentB] = phaseCurrent_A(1, x[I_A], x[I_B]);
  out[S.currentC] = phaseCurrent_A(2, x[I_A], x[I_B]);
  out[S.currentD] = x[COS] * x[I_A] + x[SIN] * x[I_B];
  out[S.currentQ] = x[COS] * x[I_B] - x[SIN] * x[I_A];
  out[S.rotorAngle] = wrapTurn(x[ANGLE] * p.winding.polePairs);
  out[S.electricalSpeed] = x[ROTOR] * p.winding.polePairs;
  out[S.clampForce] = clampForce_N(x, p.screw);
  out[S.energyResidual] = residualShare(x, p, plant.map);
}
