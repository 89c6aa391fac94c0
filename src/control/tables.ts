/** State numbers and trip reasons that the six-step firmware reports, with their text. */
import {
  STATE_READY,
  STATE_RUNNING,
  STATE_STALLED,
  STATE_STARTING,
  STATE_TRIPPED,
  TRIP_CURRENT,
  TRIP_HALL,
  TRIP_LINK_HIGH,
  TRIP_LINK_LOW,
  TRIP_NONE,
  TRIP_SENSOR,
} from '../protocol/frames.ts';

/** Own state: legs open until the rotor is slow enough to be turned the other way. */
export const STATE_COASTING = 128;
/** Own state: legs open until link voltage and Hall code are healthy again; trip says which. */
export const STATE_WAITING = 129;

/** Text of each state number. */
export const STATE_TEXT: Readonly<Record<number, string>> = Object.freeze({
  [STATE_STARTING]: 'measuring current offsets',
  [STATE_READY]: 'ready',
  [STATE_RUNNING]: 'driving',
  [STATE_STALLED]: 'holding a stalled chuck',
  [STATE_TRIPPED]: 'tripped until the next boot',
  [STATE_COASTING]: 'coasting before a reversal',
  [STATE_WAITING]: 'waiting for a healthy link or Hall code',
});

/** Text of each trip reason. */
export const TRIP_TEXT: Readonly<Record<number, string>> = Object.freeze({
  [TRIP_NONE]: 'none',
  [TRIP_CURRENT]: 'sampled phase current above its limit',
  [TRIP_LINK_HIGH]: 'link voltage above 5 V a cell',
  [TRIP_LINK_LOW]: 'link voltage below 2 V a cell',
  [TRIP_HALL]: 'Hall code 000 or 111 for more than two ticks',
  [TRIP_SENSOR]: 'current offset outside 5 % of the range',
});
