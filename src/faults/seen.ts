/** In which signals a damage is seen first: what to put before somebody who was told to look. A rule of ours, no published one. */
import type { DamageName } from '../plant/damage.ts';
import type { SignalId } from '../signals.ts';
import { damageOf } from './damage-sums.ts';
import type { FaultEntry, Leg } from './entry.ts';

/** Damages that each leg has: written once, with * for its letter. */
type Row = DamageName extends infer Name ? (Name extends `${infer Stem}${'A' | 'B' | 'C'}` ? `${Stem}*` : Name) : never;
type Seen = SignalId | 'current*' | 'sensed*' | 'pole*' | 'duty*' | 'legHeat*';

const CURRENTS = ['currentA', 'currentB', 'currentC'] as const;
const READINGS = ['sensedA', 'sensedB', 'sensedC'] as const;
const DUTIES = ['dutyA', 'dutyB', 'dutyC'] as const;
const ROTOR_FRAME = ['currentD', 'currentQ', 'airGapTorque'] as const;
const LEG = ['current*', ...ROTOR_FRAME] as const;
const CHANNEL = ['current*', 'sensed*', ...ROTOR_FRAME] as const;
const SUPPLY = ['packVoltage', 'link', 'packCurrent'] as const;
const HALL = ['hall', 'rotorAngle', 'electricalSpeed'] as const;
const TALK = ['gates', ...DUTIES, 'controllerState'] as const;
const HAND = ['trigger', 'sensedTrigger', 'motorSpeed'] as const;

const SEEN: Readonly<Record<Row, readonly Seen[]>> = {
  'leg*': ['pole*', ...LEG],
  wiring: [...CURRENTS, 'currentD', 'currentQ', 'electricalSpeed'],
  turnsShorted: [...CURRENTS, 'airGapTorque', 'windingHeat'],
  shortOhm: [...CURRENTS, 'airGapTorque', 'windingHeat'],
  fluxLost: ['magnetFlux', 'motorSpeed', 'currentQ', 'airGapTorque'],
  cellLost: ['charge', ...SUPPLY, 'packOpen'],
  cellOhmMore: [...SUPPLY, 'packOpen'],
  cellsCold: [...SUPPLY, 'cellHeat'],
  contactOhm: SUPPLY,
  packOff: [...SUPPLY, 'packOpen'],
  contactOff: [...SUPPLY, 'controllerState'],
  linkLost: ['link', 'sensedLink', 'packCurrent'],
  linkEsrMore: ['link', 'sensedLink', 'packCurrent'],
  'deadMore*': ['pole*', ...LEG],
  'gateLess*': ['pole*', 'current*', 'legHeat*'],
  'phaseOhm*': [...CURRENTS, 'airGapTorque', 'windingHeat'],
  'toMinus*': ['current*', 'sensed*', 'link', 'airGapTorque'],
  abShorted: [...CURRENTS, ...READINGS, 'link', 'airGapTorque'],
  bcShorted: [...CURRENTS, ...READINGS, 'link', 'airGapTorque'],
  acShorted: [...CURRENTS, ...READINGS, 'link', 'airGapTorque'],
  motorHot: ['windingHeat', 'magnetHeat', 'magnetFlux', 'currentQ'],
  bearingMore: ['motorSpeed', 'currentQ', 'airGapTorque'],
  gearOut: ['gearEngaged', 'motorSpeed', 'chuckSpeed', 'gearTorque'],
  clutchLost: ['clutchSlip', 'gearTorque', 'chuckSpeed'],
  jammed: ['chuckSpeed', 'loadTorque', 'currentQ', 'bodyAngle'],
  loadLost: ['loadTorque', 'chuckSpeed', 'currentQ'],
  playMore: ['gearTorque', 'motorSpeed', 'chuckSpeed'],
  'shuntOff*': CHANNEL,
  'shuntGain*': CHANNEL,
  'shuntDrift*': CHANNEL,
  shuntNoise: READINGS,
  shuntClip: [...CURRENTS, ...READINGS],
  'stuck*': CHANNEL,
  stuckLink: ['link', 'sensedLink'],
  stuckGyro: ['bodySpeed', 'bodyAngle', 'controllerState'],
  sensesSwapped: [...CURRENTS, ...READINGS, 'currentD', 'currentQ'],
  sampleLate: [...CURRENTS, ...READINGS],
  sampleJitter: [...CURRENTS, ...READINGS],
  linkGain: ['link', 'sensedLink', ...DUTIES],
  linkOff: ['link', 'sensedLink', ...DUTIES],
  referenceOff: [...CURRENTS, ...READINGS, 'link', 'sensedLink'],
  ntcBridge: ['legHeatA', 'legHeatB', 'legHeatC', 'controllerState'],
  ntcMotor: ['windingHeat', 'magnetHeat', 'controllerState'],
  ntcBridgeSlow: ['legHeatA', 'legHeatB', 'legHeatC', 'controllerState'],
  ntcMotorSlow: ['windingHeat', 'magnetHeat', 'controllerState'],
  'hallStuck*': HALL,
  hallsSwapped: HALL,
  'hallTurn*': [...HALL, 'currentD'],
  'hallGlitch*': HALL,
  wiper: HAND,
  wiperNoise: HAND,
  wornSpot: HAND,
  wayBad: ['electricalSpeed', 'chuckSpeed', 'controllerState'],
  wayBounce: ['electricalSpeed', 'chuckSpeed', 'controllerState'],
  contactWelded: ['trigger', 'link', 'controllerState'],
  boardReset: TALK,
  outputFrozen: [...DUTIES, 'currentD', 'currentQ', 'rotorAngle'],
  answerLate: [...DUTIES, 'currentD', 'currentQ'],
  clockSkew: ['electricalSpeed', 'controllerState', 'currentD', 'currentQ'],
  framesLost: TALK,
  framesBurst: TALK,
  framesLate: TALK,
  framesDoubled: TALK,
  framesTurned: TALK,
  framesCorrupt: TALK,
  framesWrong: TALK,
};

/** Signals in which a fault is seen, each once. @param leg where it acts; does nothing for a fault that has none */
export function seenIn(entry: FaultEntry, leg: Leg): SignalId[] {
  const letter = leg.toUpperCase();
  const all = entry.effects.flatMap((effect) => {
    const damage = damageOf(effect, leg);
    const row = damage in SEEN ? damage : damage.replace(/[ABC]$/, '*');
    return SEEN[row as Row].map((name) => name.replace('*', letter) as SignalId);
  });
  return [...new Set(all)];
}
