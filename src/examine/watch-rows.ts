/**
 * Beside each watch value that names a signal: what the board should show, from what was put on its pins, and what a
 * deviation looks like (sign, order, scale).
 */
import { type Drive, DUTY_FULL, type Sense } from '../protocol/frames.ts';
import type { Hello, Watch } from '../protocol/hello.ts';
import { SIGNALS } from '../signals.ts';
import { DISPLAY_UNITS, toDisplay } from '../units/convert.ts';
import { wrapHalf } from '../units/elementary.ts';
import { middleOf_rad } from './injections.ts';
import { currentOf_A, hallFlags, heatOf_K, linkOf_V, travelOf } from './pins.ts';

export interface WatchRow {
  readonly name: string;
  readonly unit: string;
  readonly signal: string;
  readonly before: number;
  readonly after: number;
  /** What it should show, in the unit of the watch value; undefined when nothing follows from the pins. */
  readonly expected: number | undefined;
  /** What seems to be wrong; empty when nothing does. */ readonly hint: string;
  /** The value deviates, but it is still changing: a filter or a ramp. */ readonly moving: boolean;
}

/** Share by which a value may deviate before anything is said: what amplifiers and resistors of 1 % make. */
const SHARE = 0.03;
/** A value that has moved by more than this share of its deviation since midway will move on. */
const MOVED_SHARE = 0.02;
/** Half of a Hall sector, and a little for an edge that is met exactly [rad]. */
const HALF_SECTOR_RAD = Math.PI / 6 + 0.01;
const TURN_RAD = 2 * Math.PI;

const LEGS: Readonly<Record<string, 'ia' | 'ib' | 'ic'>> = {
  currentA: 'ia',
  currentB: 'ib',
  currentC: 'ic',
  sensedA: 'ia',
  sensedB: 'ib',
  sensedC: 'ic',
};

/** SI value that a signal has when the pins stand like this; undefined when the pins do not say. */
function expectedSi(signal: string, h: Hello, s: Sense, d: Drive, angle_rad: number | undefined): number | undefined {
  const leg = LEGS[signal];
  if (leg) return h.shunts.includes(leg[1]) ? currentOf_A(h, s[leg]) : undefined;
  const code = (s.flags & hallFlags(7)) / hallFlags(1);
  switch (signal) {
    case 'link':
    case 'sensedLink':
      return linkOf_V(h, s.link);
    case 'trigger':
    case 'sensedTrigger':
      return Math.max(0, Math.min(1, travelOf(h, s.trigger)));
    case 'hall':
      return h.halls ? code : undefined;
    case 'rotorAngle':
      return h.halls && !Number.isNaN(middleOf_rad(code)) ? (angle_rad ?? middleOf_rad(code)) : undefined;
    case 'motorSpeed':
    case 'electricalSpeed':
      return 0;
    case 'legHeatA':
    case 'legHeatB':
    case 'legHeatC':
      return finite(heatOf_K(h, s.heatBridge));
    case 'windingHeat':
      return finite(heatOf_K(h, s.heatMotor));
    case 'bodySpeed':
      return h.gyroPerCount_rad_s === undefined ? undefined : (s.gyro - h.currentZero_counts) * h.gyroPerCount_rad_s;
    case 'dutyA':
      return d.dutyA / DUTY_FULL;
    case 'dutyB':
      return d.dutyB / DUTY_FULL;
    case 'dutyC':
      return d.dutyC / DUTY_FULL;
    case 'gates':
      return d.gates;
    case 'controllerState':
      return d.state;
    case 'tripReason':
      return d.trip;
    default:
      return undefined;
  }
}

const finite = (value: number): number | undefined => (Number.isFinite(value) ? value : undefined);

/** How far a value of the signal may be off before anything is said, beside the share of the value [SI]. */
function slackSi(signal: string, h: Hello): number {
  if (signal in LEGS) return 3 * h.currentPerCount_A;
  if (/link/i.test(signal)) return 3 * h.linkPerCount_V;
  if (/heat/i.test(signal)) return 3;
  if (/trigger/i.test(signal)) return 0.02;
  if (signal === 'bodySpeed') return 3 * (h.gyroPerCount_rad_s ?? 0);
  return /speed/i.test(signal) ? 1 : 1e-3;
}

/** Answers of a step: to the last quiet frame, midway, at the end. */
export interface Answers {
  readonly before: Drive;
  readonly midway: Drive;
  readonly after: Drive;
}

/** Rows of all watch values. @param angle_rad electrical angle that was asked for, if one was */
export function watchRows(h: Hello, s: Sense, { before, midway, after }: Answers, angle_rad?: number): WatchRow[] {
  const drafts = h.watch.map((watch, k) => {
    const si = watch.signal === undefined ? undefined : expectedSi(watch.signal, h, s, after, angle_rad);
    const comparable = si !== undefined && unitFits(watch);
    const expected = comparable ? toDisplay(si, watch.unit) : undefined;
    return { watch, before: before.watch[k], after: after.watch[k], expected };
  });
  const expectedAt = (leg: 'ia' | 'ib' | 'ic') =>
    drafts.find((each) => each.watch.signal !== undefined && LEGS[each.watch.signal] === leg)?.expected;
  return drafts.map(({ watch, before: was, after: is, expected }, k) => {
    const hint = hintFor(h, watch, is, expected, expectedAt);
    const moved = Math.abs(is - midway.watch[k]);
    const moving = hint !== '' && expected !== undefined && moved > MOVED_SHARE * Math.abs(is - expected);
    const { name, unit, signal = '' } = watch;
    return { name, unit, signal, before: was, after: is, expected, hint: moving ? '' : hint, moving };
  });
}

/** The unit of the board measures what the signal is. A signal that the bench does not have is shown without comparison. */
function unitFits({ unit, signal }: Watch): boolean {
  const row = SIGNALS.find(({ id }) => id === signal);
  return row !== undefined && Object.hasOwn(DISPLAY_UNITS, unit) && DISPLAY_UNITS[unit].si === row.unit;
}

function hintFor(
  h: Hello,
  watch: Watch,
  is: number,
  expected: number | undefined,
  expectedAt: (leg: 'ia' | 'ib' | 'ic') => number | undefined,
): string {
  const { signal, unit } = watch;
  if (signal === undefined) return '';
  if (expected === undefined) {
    const known = SIGNALS.some(({ id }) => id === signal);
    if (!known) return `no signal of the bench is called '${signal}'`;
    return unitFits(watch) ? '' : `unit '${unit}' does not measure ${signal}`;
  }
  if (!Number.isFinite(is)) return 'is no number';
  const { factor } = DISPLAY_UNITS[unit];
  if (signal === 'rotorAngle') return angleHint(is * factor, expected * factor);
  const slack = slackSi(signal, h) / factor + SHARE * Math.abs(expected);
  const near = (value: number) => Math.abs(is - value) <= slack;
  if (near(expected)) return '';
  const leg = LEGS[signal];
  if (leg !== undefined) {
    const others = (['ia', 'ib', 'ic'] as const).filter((each) => each !== leg);
    for (const other of others) {
      const theirs = expectedAt(other);
      if (theirs === undefined || Math.abs(theirs) <= slack) continue;
      const wide = slack + SHARE * Math.abs(theirs);
      if (Math.abs(is - theirs) <= wide) return `follows ${other}: are two phases swapped?`;
      if (Math.abs(is + theirs) <= wide) return `follows ${other} turned round: are two phases swapped?`;
      if (Math.abs(expected) <= slack) return `nothing was sent here: does ${other} reach it?`;
    }
  }
  if (Math.abs(expected) <= slack) return 'nothing was sent here';
  if (near(-expected)) return 'its sign is turned round';
  if (Math.abs(is) <= slack) return 'does not follow';
  return `its scale is off by a factor of ${(is / expected).toPrecision(3)}`;
}

function angleHint(is_rad: number, expected_rad: number): string {
  const off_rad = wrapHalf(is_rad - expected_rad);
  if (Math.abs(off_rad) <= HALF_SECTOR_RAD) return '';
  if (Math.abs(wrapHalf(is_rad + expected_rad)) <= HALF_SECTOR_RAD)
    return 'turns the other way: are two Halls swapped?';
  return `is off by ${Math.round((off_rad * 360) / TURN_RAD)} deg el`;
}
