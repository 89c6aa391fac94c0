/** What a person reads in Ahead about faults. */
import type { LiveFault } from '../../worker/api.ts';

export const FAULT_WORDS = {
  region: 'Ahead: faults and what is still to come',
  line: 'Faults that are armed or active',
  none: 'No fault armed',
  noneDoes: ['Press ', ', or pick the part that shall fail.'],
  fire: 'Fire',
  disarm: 'Disarm',
  clear: 'Clear',
  clearAll: 'Clear all',
  states: {
    armed: () => 'armed',
    waits: () => 'fired, its moment has not come',
    active: (since: string) => `active since ${since}\u00a0s`,
  } satisfies Record<LiveFault['state'], (since: string) => string>,
  leg: (leg: string) => `, ${leg.toUpperCase()}`,
} as const;

/** What Ahead says while a scenario drives. */
export const PLAN_WORDS = {
  next: (at: string, left: number, end: string) =>
    `The scenario drives. Its hands move next at ${at}\u00a0s, ${left === 1 ? 'for the last time' : `${left} times more`}; it ends at ${end}\u00a0s.`,
  done: (end: string) => `The scenario drives. Its hands are done; it ends at ${end}\u00a0s.`,
  over: 'The scenario is over. You drive by hand from here.',
} as const;
