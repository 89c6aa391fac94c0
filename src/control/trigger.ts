/** Trigger travel and what it asks for. */
import { BOARD } from './settings.ts';

/** Travel below which nothing is asked for; common practice, no source. */
const DEAD_BAND = 0.05;
/** Once asking, the trigger must fall this much below the dead band to stop: noise must not chatter. */
const HYSTERESIS = 0.005;

/** Travel 0 to 1 from counts; beyond the ends it stays there. */
export function triggerTravel(counts: number): number {
  const { triggerLow_counts: low, triggerHigh_counts: high } = BOARD;
  return Math.max(0, Math.min(1, (counts - low) / (high - low)));
}

/** Share of the top speed, 0 to 1; 0 inside the dead band. @param asked 1 when the trigger asked in the last tick */
export function triggerShare(travel: number, asked: number): number {
  const edge = asked === 1 ? DEAD_BAND - HYSTERESIS : DEAD_BAND;
  if (travel <= edge) return 0;
  return (travel - edge) / (1 - edge);
}
