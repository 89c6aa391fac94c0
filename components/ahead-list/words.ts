/** What a person reads in Ahead about faults. */
import type { LiveFault } from '../../worker/api.ts';

export const FAULT_WORDS = {
  region: 'Ahead: faults and what is still to come',
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
