/** Numbers beside the parts, in the units that people read. */
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import { toDisplay } from '../../src/units/convert.ts';
import type { BenchInfo } from '../../worker/api.ts';
import type { HandsHeld } from '../session/session.ts';
import type { Instant } from './instant.ts';
import { between, WRIST } from './motion.ts';
import { WORDS } from './words.ts';

/** A gripped chuck that turns faster than this slips through the hand [rad/s]. */
const SLIPS_RAD_S = 1;
/** Below this the rotor stands for the eye [rad/s, electrical]. */
const STANDS_RAD_S = 3;
const ZERO_C = 273.15;

export interface Readout {
  readonly id: string;
  /** Upper edge in the drawing, 0 to 1 from the top; left edge, from the left. */ readonly top: number;
  readonly left: number;
  readonly big: string;
  readonly small: readonly string[];
  /** Said with weight: something is past its limit. */ readonly alarm?: boolean;
}

/** What the readouts are taken from. */
export interface Seen {
  readonly now: Float64Array;
  readonly instant: Instant;
  readonly hands: Readonly<HandsHeld>;
  readonly info: BenchInfo;
  /** The truth is hidden. */ readonly veiled: boolean;
  readonly bitRides: boolean;
  readonly clutchRides: boolean;
}

/** Rounded, with a real minus and a thin space in thousands. */
export function figure(value: number, digits: number): string {
  const text = Math.abs(value) < 0.5 * 10 ** -digits ? (0).toFixed(digits) : value.toFixed(digits);
  const [whole, fraction] = text.replace('-', '\u2212').split('.');
  const grouped = whole.replace(/(\d)(?=(\d{3})+$)/g, '$1\u2009');
  return fraction ? `${grouped}.${fraction}` : grouped;
}

/** All readouts for the latest sample. */
export function readouts(seen: Seen): Readout[] {
  const { now, hands, veiled } = seen;
  const peak_A = Math.hypot(now[S.currentD], now[S.currentQ]);
  const hottest_K = Math.max(now[S.legHeatA], now[S.legHeatB], now[S.legHeatC]);
  const draws = now[S.gates] === 0 ? WORDS.allOpen : WORDS.draws(figure(now[S.packCurrent], 1));
  return [
    wrist(now, hands.wrist, veiled),
    {
      id: 'pack',
      top: 0.262,
      left: 0.715,
      big: `${figure(now[S.link], 1)} V`,
      small: [draws, WORDS.charge(figure(toDisplay(now[S.charge], '%'), 1))],
    },
    {
      id: 'phase',
      top: 0.355,
      left: 0.615,
      big: `i ${veiled ? WORDS.hidden : `${figure(peak_A, 1)} A`}`,
      small: [WORDS.winding(figure(now[S.windingHeat] - ZERO_C, 0)), WORDS.legs(figure(hottest_K - ZERO_C, 0))],
    },
    angle(seen),
    {
      id: 'speed',
      top: 0.552,
      left: 0.52,
      big: veiled ? WORDS.speedHidden : `${figure(toDisplay(now[S.motorSpeed], 'rpm'), 0)} rpm`,
      small: veiled
        ? [WORDS.gear(now[S.gearEngaged])]
        : [WORDS.chuck(figure(toDisplay(now[S.chuckSpeed], 'rpm'), 0), now[S.gearEngaged])],
    },
    torque(seen),
  ];
}

const TURN = 2 * Math.PI;
/** Controllers count from minus half a turn, or on and on. */
const wholeTurn = (angle_rad: number): number => ((angle_rad % TURN) + TURN) % TURN;

function angle({ now, instant, veiled }: Seen): Readout {
  const moving = Math.abs(now[S.electricalSpeed]) > STANDS_RAD_S;
  const degrees = veiled ? instant.estimate_rad : now[S.rotorAngle];
  const letter = veiled ? 'E' : 'ψ';
  // Whether it turns is the truth, too.
  const small: string[] = veiled ? [] : [instant.held ? WORDS.held : moving ? WORDS.turning : WORDS.standing];
  const off = toDisplay(between(instant.angle_rad, instant.estimate_rad), 'deg el');
  if (veiled) small.push(`ψ ${WORDS.hidden}`);
  else if (Number.isFinite(off)) small.push(WORDS.offBy(figure(off, 0)));
  const turns = `${figure(now[S.electricalSpeed] / (2 * Math.PI), 0)} turns/s`;
  return {
    id: 'angle',
    top: 0.447,
    left: 0.615,
    big:
      moving && instant.held && !veiled
        ? turns
        : `${letter} ${Number.isFinite(degrees) ? figure(toDisplay(wholeTurn(degrees), 'deg el'), 0) : '–'}°`,
    small,
  };
}

function torque({ now, hands, info, veiled, bitRides, clutchRides }: Seen): Readout {
  const slips = Math.abs(now[S.chuckSpeed]) > SLIPS_RAD_S;
  const setting_Nm = info.clutch.settings_Nm[hands.clutch - 1];
  const small: string[] = [WORDS.atChuck];
  if (setting_Nm !== undefined) small.push(WORDS.clutch(figure(setting_Nm, 1)));
  if (bitRides) small.push(WORDS.bitSlips);
  else if (clutchRides) small.push(WORDS.clutchSlips);
  else if (hands.grip_Nm > 0) small.push(slips ? WORDS.handSlips : WORDS.handHolds);
  return {
    id: 'torque',
    top: 0.635,
    left: hands.grip_Nm > 0 ? 0.71 : 0.52,
    big: veiled ? WORDS.torqueHidden : `${figure(now[S.gearTorque], 2)} N·m`,
    small,
    alarm: bitRides || clutchRides,
  };
}

/** How far the tool has turned in the hand, and with which torque the hand holds it. */
function wrist(now: Float64Array, firm: number, veiled: boolean): Readout {
  const degrees = (now[S.bodyAngle] / Math.PI) * 180;
  return {
    id: 'wrist',
    top: 0.113,
    left: 0.014,
    big: firm === 0 ? WORDS.vice : WORDS.wrist(figure(degrees, 0)),
    small: firm === 0 || veiled ? [] : [WORDS.onHand(figure(now[S.wristTorque], 1))],
    alarm: Math.abs(degrees) > WRIST.ease,
  };
}

/** One sentence for those who do not see the drawing. */
export function describe(now: Float64Array, hasScrew: boolean, faults: number, veiled: boolean): string {
  if (veiled) return WORDS.veiled;
  const rpm = toDisplay(now[S.chuckSpeed], 'rpm');
  const turning = Math.abs(rpm) < 1 ? WORDS.chuckStands : WORDS.chuckTurns(rpm > 0, figure(Math.abs(rpm), 0));
  const screw = hasScrew ? WORDS.screwDeep(figure(toDisplay(now[S.screwDepth], 'mm'), 0)) : '';
  const sentence = WORDS.sentence(turning + screw, figure(now[S.gearTorque], 1));
  return faults > 0 ? sentence + WORDS.withFaults(faults) : sentence;
}
