/** State numbers and reasons that the commissioning firmware reports, with their text. */
import { STATE_READY, STATE_STARTING, STATE_TRIPPED, STATE_WAITING, TRIP_NONE } from '../../protocol/frames.ts';

/** Own states, in the order in which they are passed. */
export const STATE_ROUGH = 128;
export const STATE_ALIGN = 129;
export const STATE_OHM = 130;
export const STATE_SPIN = 131;
export const STATE_SETTLE = 132;
export const STATE_PULSES = 133;

/** Own reasons for which a run is given up. */
export const REASON_OFFSET = 128;
export const REASON_NO_CURRENT = 129;
export const REASON_CURRENT = 130;
export const REASON_LINE = 131;
export const REASON_OHM = 132;
export const REASON_STUCK = 133;
export const REASON_RUN = 134;
export const REASON_MAP = 135;
export const REASON_RATIO = 136;
export const REASON_NORTH = 137;
export const REASON_LET_GO = 138;

export const COMMISSION_STATES: Readonly<Record<number, string>> = Object.freeze({
  [STATE_STARTING]: 'measuring current offsets',
  [STATE_WAITING]: 'waiting for the trigger',
  [STATE_ROUGH]: 'feeling for the inductance',
  [STATE_ALIGN]: 'aligning the rotor',
  [STATE_OHM]: 'measuring resistance and dead time',
  [STATE_SPIN]: 'turning the rotor: flux and inertia',
  [STATE_SETTLE]: 'aligning the rotor again',
  [STATE_PULSES]: 'pulsing: flux over current',
  [STATE_READY]: 'finished: the facts stand in the watch values',
  [STATE_TRIPPED]: 'given up; the reason says why',
});

export const COMMISSION_REASONS: Readonly<Record<number, string>> = Object.freeze({
  [TRIP_NONE]: 'none',
  [REASON_OFFSET]: 'current offset outside 5 % of the range',
  [REASON_NO_CURRENT]: 'the link voltage of half a period drives too little current: is a motor connected?',
  [REASON_CURRENT]: 'phase current above one and a half times the largest allowed',
  [REASON_LINE]: 'voltage over current leaves the line by more than 20 mV',
  [REASON_OHM]: 'resistance outside 2 to 200 milliohm',
  [REASON_STUCK]: 'the rotor does not follow a turning current: is the chuck held?',
  [REASON_RUN]: 'the speed does not follow the torque: flux or inertia cannot be',
  [REASON_MAP]: 'flux over current fits no map within 5 % of the largest current',
  [REASON_RATIO]: 'inductance ratio q to d outside 0.8 to 3',
  [REASON_NORTH]: 'saturation puts north where the rotor did not align',
  [REASON_LET_GO]: 'the trigger was let go before the end',
});
