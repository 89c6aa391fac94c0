/**
 * Which instant the section shows. Slow enough, it turns truly. Faster, it is held to the rotor: every picture is taken at
 * the same true rotor angle, so that the magnets stand and only what differs moves. Nothing ever seems to turn slower
 * than it does, or backwards.
 */
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { TICK_INDEX } from '../../worker/block.ts';
import type { RunRecord } from '../session/run-record.ts';
import { between, isHeld } from './motion.ts';

const TAU = 2 * Math.PI;
/** Angle at which the section is held: the middle of a Hall sector. */
const HELD_RAD = Math.PI / 3;
/** How far back a crossing of that angle is looked for, in PWM periods. */
const LOOK_BACK = 400;

export interface Instant {
  angle_rad: number;
  /** Electrical rotor angle by the controller, NaN for none. */ estimate_rad: number;
  a_A: number;
  b_A: number;
  c_A: number;
  held: boolean;
}

/**
 * Chooses the instant for this frame, and writes it into `out`.
 *
 * @param perFrame_s virtual seconds between two frames
 * @param share how far between the two latest periods, 0 to 1, when one of them lasts for several frames; else 1, the latest
 */
export function chooseInstant(record: RunRecord, perFrame_s: number, stills: boolean, out: Instant, share = 1): void {
  const { now } = record;
  const turns = (now[SIGNAL_INDEX.electricalSpeed] / TAU) * perFrame_s;
  if (isHeld(turns, out.held, stills) && crossing(record, out)) {
    out.held = true;
    return;
  }
  out.held = false;
  const last = record.endTick - 1;
  if (share < 1 && last > record.firstTick) {
    const before = record.tick(last - 1, TICK_INDEX.rotorAngle);
    out.angle_rad = before + between(before, record.tick(last, TICK_INDEX.rotorAngle)) * share;
    take(record, last, share, out);
  } else {
    out.angle_rad = now[SIGNAL_INDEX.rotorAngle];
    out.a_A = now[SIGNAL_INDEX.currentA];
    out.b_A = now[SIGNAL_INDEX.currentB];
    out.c_A = now[SIGNAL_INDEX.currentC];
  }
  out.estimate_rad = out.angle_rad + errorBefore(record);
}

/**
 * How far the controller was off when it last said something, NaN when it says nothing. It spoke of the moment at which it was
 * asked, the beginning of the period; truth is kept for the end.
 */
function errorBefore(record: RunRecord): number {
  const last = record.endTick - 1;
  if (last <= record.firstTick) return Number.NaN;
  return between(record.tick(last - 1, TICK_INDEX.rotorAngle), record.tick(last, TICK_INDEX.boardAngle));
}

/** The latest passing of the held angle, currents by a straight line between the two samples around it. */
function crossing(record: RunRecord, out: Instant): boolean {
  const first = Math.max(record.firstTick + 1, record.endTick - LOOK_BACK);
  // One period is kept back: what the controller said of its end came with the next one.
  for (let k = record.endTick - 2; k >= first; k--) {
    const before = between(HELD_RAD, record.tick(k - 1, TICK_INDEX.rotorAngle));
    const after = between(HELD_RAD, record.tick(k, TICK_INDEX.rotorAngle));
    // Opposite sides of the held angle, and not half a turn away from it.
    if (before * after > 0 || Math.abs(after - before) > Math.PI || after === before) continue;
    const share = -before / (after - before);
    out.angle_rad = HELD_RAD;
    const told = record.tick(k, TICK_INDEX.boardAngle);
    out.estimate_rad = told + between(told, record.tick(k + 1, TICK_INDEX.boardAngle)) * share;
    take(record, k, share, out);
    return true;
  }
  return false;
}

/** The currents at a share of the way from the period before k to k. */
function take(record: RunRecord, k: number, share: number, out: Instant): void {
  out.a_A = along(record, k, TICK_INDEX.currentA, share);
  out.b_A = along(record, k, TICK_INDEX.currentB, share);
  out.c_A = along(record, k, TICK_INDEX.currentC, share);
}

function along(record: RunRecord, k: number, channel: number, share: number): number {
  const before = record.tick(k - 1, channel);
  return before + (record.tick(k, channel) - before) * share;
}
