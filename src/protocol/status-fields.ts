/** What a board is doing and why a protection acted: the same two fields in Drive and in Report. */
import { u8 } from './dsl.ts';

export const STATUS = {
  state: u8({
    doc: 'what the board is doing; 128 to 255 are the own codes of a board',
    codes: [
      { name: 'STATE_STARTING', value: 0, doc: 'measures its offsets, gates off' },
      { name: 'STATE_READY', value: 1, doc: 'waits for the trigger, gates off' },
      { name: 'STATE_RUNNING', value: 2, doc: 'drives the motor' },
      { name: 'STATE_COASTING', value: 3, doc: 'gates off until the motor is slow enough' },
      { name: 'STATE_STALLED', value: 4, doc: 'has seen a stall and has cut or lowered the torque' },
      { name: 'STATE_WAITING', value: 5, doc: 'gates off until supply or sensors are healthy again' },
      { name: 'STATE_TRIPPED', value: 6, doc: 'a protection holds the gates off; see trip' },
      { name: 'STATE_BRAKING', value: 7, doc: 'brakes the motor' },
    ],
  }),
  trip: u8({
    doc: 'why a protection acted; 128 to 255 are the own codes of a board',
    codes: [
      { name: 'TRIP_NONE', value: 0, doc: 'nothing tripped' },
      { name: 'TRIP_CURRENT', value: 1, doc: 'phase current above its limit' },
      { name: 'TRIP_LINK_HIGH', value: 2, doc: 'link voltage above its limit' },
      { name: 'TRIP_LINK_LOW', value: 3, doc: 'link voltage below its limit' },
      { name: 'TRIP_HALL', value: 4, doc: 'Hall code that cannot be' },
      { name: 'TRIP_SENSOR', value: 5, doc: 'offset or reading of a converter channel out of range' },
      { name: 'TRIP_LOCK', value: 6, doc: 'angle estimate lost' },
      { name: 'TRIP_STALL', value: 7, doc: 'stalled for too long' },
      { name: 'TRIP_HEAT', value: 8, doc: 'winding or power stage too hot' },
      { name: 'TRIP_SPEED', value: 9, doc: 'speed above its limit' },
    ],
  }),
} as const;
