/** State numbers and trip reasons that the built-in controllers report, with their text. */
import {
  STATE_BRAKING,
  STATE_COASTING,
  STATE_READY,
  STATE_RUNNING,
  STATE_STALLED,
  STATE_STARTING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_CURRENT,
  TRIP_HALL,
  TRIP_HEAT,
  TRIP_LINK_HIGH,
  TRIP_LINK_LOW,
  TRIP_LOCK,
  TRIP_NONE,
  TRIP_SENSOR,
  TRIP_SPEED,
  TRIP_STALL,
} from '../protocol/frames.ts';

/** Own state: legs open until the trigger has been released once. */
export const STATE_LOCKED = 128;

/** Text of each state number. */
export const STATE_TEXT: Readonly<Record<number, string>> = Object.freeze({
  [STATE_STARTING]: 'measuring current offsets',
  [STATE_READY]: 'ready',
  [STATE_RUNNING]: 'driving',
  [STATE_STALLED]: 'holding a stalled chuck',
  [STATE_TRIPPED]: 'tripped until the next boot',
  [STATE_COASTING]: 'coasting before a reversal',
  [STATE_WAITING]: 'waiting for a healthy link or sensor',
  [STATE_BRAKING]: 'braking',
  [STATE_LOCKED]: 'waiting for the trigger to be released',
});

/** Text of each trip reason. */
export const TRIP_TEXT: Readonly<Record<number, string>> = Object.freeze({
  [TRIP_NONE]: 'none',
  [TRIP_CURRENT]: 'sampled phase current above its limit',
  [TRIP_LINK_HIGH]: 'link voltage above 5 V a cell',
  [TRIP_LINK_LOW]: 'link voltage below 2 V a cell',
  [TRIP_HALL]: 'Hall code 000 or 111 for more than two ticks',
  [TRIP_SENSOR]: 'a converter channel that reads what cannot be',
  [TRIP_LOCK]: 'rotor angle lost',
  [TRIP_STALL]: 'stalled for too long',
  [TRIP_HEAT]: 'switches or winding too hot',
  [TRIP_SPEED]: 'motor speed above its limit',
});
