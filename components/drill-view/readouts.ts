/** Numbers beside the parts, in the units that people read. */
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import { toDisplay } from '../../src/units/convert.ts';
import type { Instant } from './instant.ts';

/** A gripped chuck that turns faster than this slips through the hand [rad/s]. */
const SLIPS_RAD_S = 1;

export interface Readout {
  readonly id: string;
  /** Middle of the readout in the drawing, 0 to 1 from the top; from the left. */ readonly top: number;
  readonly left: number;
  readonly big: string;
  readonly small: readonly string[];
}

/** Rounded, with a real minus and a thin space in thousands. */
export function figure(value: number, digits: number): string {
  const text = Math.abs(value) < 0.5 * 10 ** -digits ? (0).toFixed(digits) : value.toFixed(digits);
  const [whole, fraction] = text.replace('-', '\u2212').split('.');
  const grouped = whole.replace(/(\d)(?=(\d{3})+$)/g, '$1\u2009');
  return fraction ? `${grouped}.${fraction}` : grouped;
}

/** All readouts for the latest sample. */
export function readouts(
  now: Float64Array,
  instant: Instant,
  gear: number,
  grip_Nm: number,
  polePairs: number,
): Readout[] {
  const peak_A = Math.hypot(now[S.currentD], now[S.currentQ]);
  const angle_deg = toDisplay(now[S.rotorAngle], 'deg el');
  const moving = Math.abs(now[S.electricalSpeed]) > 3;
  const slips = Math.abs(now[S.chuckSpeed]) > SLIPS_RAD_S;
  const hand = grip_Nm > 0 ? [slips ? 'the hand slips' : 'the hand holds'] : [];
  return [
    {
      id: 'pack',
      top: 0.262,
      left: 0.715,
      big: `${figure(now[S.link], 1)} V`,
      small: [`draws ${figure(now[S.packCurrent], 1)} A`, `charge ${figure(toDisplay(now[S.charge], '%'), 1)} %`],
    },
    { id: 'phase', top: 0.355, left: 0.615, big: `${figure(peak_A, 1)} A`, small: ['current arrow i'] },
    {
      id: 'angle',
      top: 0.43,
      left: 0.615,
      big:
        moving && instant.held
          ? `${figure(now[S.electricalSpeed] / (2 * Math.PI), 0)} turns/s`
          : `${figure(angle_deg, 0)}°`,
      small: [
        instant.held ? 'held to the rotor' : moving ? 'drawn turning' : 'standing',
        `1 of ${polePairs} pole pairs`,
      ],
    },
    {
      id: 'speed',
      top: 0.545,
      left: 0.52,
      big: `${figure(toDisplay(now[S.motorSpeed], 'rpm'), 0)} rpm`,
      small: [`chuck ${figure(toDisplay(now[S.chuckSpeed], 'rpm'), 0)} rpm in gear ${gear}`],
    },
    {
      id: 'torque',
      top: 0.655,
      left: grip_Nm > 0 ? 0.71 : 0.52,
      big: `${figure(now[S.gearTorque], 2)} N·m`,
      small: ['at the chuck', ...hand],
    },
  ];
}

/** One sentence for those who do not see the drawing. */
export function describe(now: Float64Array, hasScrew: boolean): string {
  const rpm = toDisplay(now[S.chuckSpeed], 'rpm');
  const turning =
    Math.abs(rpm) < 1
      ? 'The chuck stands'
      : `The chuck turns ${rpm > 0 ? 'in' : 'out'} at ${figure(Math.abs(rpm), 0)} rpm`;
  const screw = hasScrew ? `, the screw is ${figure(toDisplay(now[S.screwDepth], 'mm'), 0)} mm deep` : '';
  return `Cordless drill in section, nose down. ${turning}${screw}, torque ${figure(now[S.gearTorque], 1)} newton meters.`;
}
