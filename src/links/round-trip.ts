/**
 * Round trip of a link, measured by signs of life when it opens: it bounds how fast lock-step can go, and shows a carrier
 * that holds short messages back.
 */
import type { Beat } from '../protocol/frames.ts';
import { pause } from './within.ts';

/** What is measured: a sign of life that asks, and the one that answers. */
export interface Beating {
  /** Asks now; returns the number of the Beat. */
  askBeat(): number;
  /** Hears each answer, with the time at which it was asked and came [ms]. */
  onBeat: ((beat: Beat, asked_ms: number, came_ms: number) => void) | undefined;
}

export interface RoundTrip {
  /** Beats that were answered. */ readonly count: number;
  /** Beats that were not. */ readonly missed: number;
  /** Half of them were faster [s]. */ readonly p50_s: number;
  /** Ninety-nine of a hundred were faster [s]. */ readonly p99_s: number;
  readonly max_s: number;
}

/** Longest median at which lock-step is of use [s]: 20 exchanges a second. Illustrative. */
export const LOCK_STEP_TRIP_MOST_S = 0.05;
const BEATS = 25;
/** Beats that are enough when the time is up. */
const BEATS_LEAST = 5;
/** Time for all of it, and for a single one [ms]. */
const ALL_MS = 800;
const ONE_MS = 1000;

/** Measures; undefined when no Beat was answered. Never rejects. */
export async function measureRoundTrip(peer: Beating, beats = BEATS): Promise<RoundTrip | undefined> {
  const trips_s: number[] = [];
  let missed = 0;
  const before = peer.onBeat;
  const begun = performance.now();
  for (let k = 0; k < beats; k++) {
    if (k >= BEATS_LEAST && performance.now() - begun > ALL_MS) break;
    const trip_ms = await oneTrip(peer, before);
    if (trip_ms === undefined) {
      missed++;
      break;
    }
    trips_s.push(trip_ms / 1000);
  }
  peer.onBeat = before;
  return trips_s.length === 0 ? undefined : roundTripOf(trips_s, missed);
}

/** One Beat and its answer [ms]; undefined when none came in time. */
async function oneTrip(peer: Beating, before: Beating['onBeat']): Promise<number | undefined> {
  const patience = new AbortController();
  let asked = -1;
  let heard = -1;
  let trip_ms: number | undefined;
  peer.onBeat = (beat, asked_ms, came_ms) => {
    before?.(beat, asked_ms, came_ms);
    heard = beat.number;
    if (asked >= 0 && heard !== asked) return; // one that the watch of the link has asked
    trip_ms = came_ms - asked_ms;
    patience.abort();
  };
  asked = peer.askBeat();
  if (heard === asked) return trip_ms; // a carrier in memory answers before it returns
  trip_ms = undefined;
  await pause(ONE_MS, patience.signal);
  return trip_ms;
}

/** Figures of a list of round trips [s], which must not be empty. Ranks are the nearest that reach the share. */
export function roundTripOf(trips_s: readonly number[], missed = 0): RoundTrip {
  const sorted = [...trips_s].sort((a, b) => a - b);
  const rank = (share: number): number => sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)];
  return { count: sorted.length, missed, p50_s: rank(0.5), p99_s: rank(0.99), max_s: sorted[sorted.length - 1] };
}

const milliseconds = (time_s: number): string => `${(time_s * 1000).toPrecision(3)} ms`;

export function roundTripWords({ count, missed, p50_s, p99_s, max_s }: RoundTrip): string {
  const unanswered = missed === 0 ? '' : `, ${missed} not answered`;
  const figures = `p50 ${milliseconds(p50_s)}, p99 ${milliseconds(p99_s)}, longest ${milliseconds(max_s)}`;
  return `round trip ${figures} (${count} signs of life${unanswered})`;
}

/** Why a link is too slow for lock-step, and what to do about it; undefined when it is not. */
export function lockStepProblem(trip: RoundTrip | undefined): string | undefined {
  if (!trip || trip.p50_s <= LOCK_STEP_TRIP_MOST_S) return undefined;
  return [
    `${roundTripWords(trip)}; for lock-step a p50 of at most ${LOCK_STEP_TRIP_MOST_S * 1000} ms is allowed.`,
    'A chip between USB and UART holds a short answer back until its latency timer ends. Set that timer to 1 ms:',
    '  Linux    echo 1 | sudo tee /sys/bus/usb-serial/devices/ttyUSB0/latency_timer',
    '  Windows  device manager, the port, port settings, advanced: latency timer',
    '  macOS    a setting of the driver of the chip, where it has one',
    'Has the chip no such timer, or is it 1 ms already: raise the rate of the line, and see that the board answers within its',
    'receive path and flushes at once.',
  ].join('\n');
}
