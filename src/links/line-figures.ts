/** What is known of the carrier of a link beside its counters, for reports and screens. */
import type { ClockFit } from './board-clock.ts';
import { lockStepCeiling_Hz, lockStepWords } from './line-budget.ts';
import type { BoardLink } from './link.ts';
import { type RoundTrip, roundTripWords } from './round-trip.ts';

export interface LineFigures {
  /** Rate of the line [Bd]; null of a carrier that has none. */ readonly baud: number | null;
  /** Exchanges a second that the bits alone allow in lock-step. */ readonly ceiling_Hz: number | null;
  /** Round trip when the link was opened; null when it was not measured, or nothing answered. */
  readonly roundTrip: RoundTrip | null;
  /** Clock of the board against ours; null when it has none, or answered no sign of life. */
  readonly clock: ClockFit | null;
}

/** The figures as they stand; undefined when nothing is known. */
export function lineFigures(link: BoardLink | undefined): LineFigures | undefined {
  if (!link) return undefined;
  const { baud } = link;
  const clock = link.boardClock?.() ?? null;
  if (baud === undefined && clock === null) return undefined;
  const watchCount = link.hello.watch.length;
  return Object.freeze({
    baud: baud ?? null,
    ceiling_Hz: baud === undefined ? null : lockStepCeiling_Hz({ baud, watchCount }),
    roundTrip: link.roundTrip ?? null,
    clock,
  });
}

/** The figures in words, in one line. */
export function lineText({ baud, roundTrip, clock }: LineFigures, watchCount: number): string {
  const parts: string[] = [];
  if (baud !== null) parts.push(lockStepWords({ baud, watchCount }));
  if (roundTrip) parts.push(roundTripWords(roundTrip));
  else if (baud !== null) parts.push('round trip not known: the board answers no signs of life');
  if (clock) parts.push(clockWords(clock));
  return parts.join('; ');
}

function clockWords({ drift_ppm, driftWithin_ppm, jumps, rejected }: ClockFit): string {
  const known = Number.isFinite(driftWithin_ppm);
  const rate = known
    ? `clock of the board ${drift_ppm >= 0 ? '+' : ''}${drift_ppm.toFixed(1)} ppm (within ${driftWithin_ppm.toFixed(1)})`
    : 'clock of the board not watched long enough for its rate';
  const odd = [jumps > 0 && `${jumps} jumps`, rejected > 0 && `${rejected} stamps not used`].filter((each) => each);
  return [rate, ...odd].join(', ');
}
