/** Words of marks and of refusals about the past, English, in one place. */
import type { DeedDone } from './past-api.ts';

export const PAST_WORDS = {
  lockStep: 'A board cannot be taken back in time: it drives for itself. What was recorded can still be looked at.',
  hidden: (why: string) => `This controller cannot be taken back: ${why}`,
  early: (earliest: string) => `That is no longer kept. The earliest moment is ${earliest} s.`,
  late: (end: string) => `That has not happened yet. The run ends at ${end} s.`,
  long: 'Step by step shows 2 ms at most.',
  startGone: 'The start of this run is no longer kept: it has too many deeds.',
  fromFile:
    'This run comes from a file, which says what happens in it. Runs plays that file twice: choose it there, then Compare with.',
  ofBoard:
    'A board drives for itself: its run cannot be gone through again. Runs plays a file with the board, and with a built-in controller.',
  noGhost: 'There is no other run to compare with.',
  apart: 'The two runs hold nothing of the same time there.',
  givenUp: 'Given up here.',
  before: (at: string) => `as it went on after ${at} s`,
  same: 'the same once more',
  stop: 'Stop',
  newScrew: 'new work',
  lost: 'Controller lost',
  trip: (text: string) => `Trip: ${text}`,
  contact: 'Bit meets the work',
  freeze: 'Frozen by its condition',
  rewind: 'Carried on from here',
  slow: (ms: string) => `Lost time: ${ms} ms`,
  armed: (fault: string) => `Fault armed: ${fault}`,
  fired: 'Fault fired',
  began: 'Fault active',
  cleared: 'Fault cleared',
  clearedAll: 'All faults cleared',
};

const HANDS: Readonly<Record<string, (value: number) => string>> = {
  trigger: (v) => `Trigger ${Math.round(v * 100)} %`,
  direction: (v) => (v > 0 ? 'In' : v < 0 ? 'Out' : 'Locked'),
  gear: (v) => `Gear ${v}`,
  grip_Nm: (v) => (v > 0 ? `Grip ${v} N·m` : 'Grip let go'),
  meets: () => 'Other work',
  clutch: (v) => (v === 0 ? 'Clutch locked' : `Clutch ${v}`),
  wrist: (v) => `Wrist ${v}`,
  push_N: (v) => `Push ${v} N`,
};

/** A deed in a few words. */
export function deedWords(deed: DeedDone): string {
  if (deed.kind === 'stop') return PAST_WORDS.stop;
  if (deed.kind === 'new screw') return PAST_WORDS.newScrew;
  if (deed.kind === 'hands') {
    return Object.entries(deed.hands)
      .map(([key, value]) => HANDS[key]?.(value as number) ?? `${key} ${value}`)
      .join(', ');
  }
  if (deed.what === 'arm') return PAST_WORDS.armed(deed.order.fault);
  return deed.what === 'fire' ? PAST_WORDS.fired : deed.what === 'clear' ? PAST_WORDS.cleared : PAST_WORDS.clearedAll;
}
