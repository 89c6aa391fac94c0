/** Faults of switches and gate drive. */
import { BROKEN } from '../../plant/damage.ts';
import { type Effect, faultEntry } from '../entry.ts';

const leg = (bit: number): Effect => ({
  damage: { a: 'legA', b: 'legB', c: 'legC' },
  value: (size) => (size > 0 ? bit : 0),
});

export const BRIDGE_FAULTS = [
  faultEntry({
    id: 'high-switch-open',
    name: 'high-side switch open',
    place: 'bridge',
    does: 'The high-side switch of a leg does not conduct any more; its diode still does.',
    legs: true,
    effects: [leg(BROKEN.highOpen)],
    sight:
      'the positive half-wave of that phase current is missing, the current has a direct component, and torque pulses once an electrical turn',
    source: 'mdpi.com/2032-6653/15/5/204 (open-circuit faults of PM drives)',
    needs: ['U28'],
  }),
  faultEntry({
    id: 'low-switch-open',
    name: 'low-side switch open',
    place: 'bridge',
    does: 'The low-side switch of a leg does not conduct any more; its diode still does.',
    legs: true,
    effects: [leg(BROKEN.lowOpen)],
    sight: 'the negative half-wave of that phase current is missing, and the shunt of that leg reads nearly nothing',
    source: 'mdpi.com/2032-6653/15/5/204 (open-circuit faults of PM drives)',
    needs: ['U28'],
  }),
  faultEntry({
    id: 'high-switch-short',
    name: 'high-side switch short',
    place: 'bridge',
    does: 'The high-side switch of a leg conducts all the time.',
    legs: true,
    effects: [leg(BROKEN.highShort)],
    sight:
      'direct current and braking torque that pulses; when the low side of that leg turns on, the link is shorted through both',
    source: 'common practice, no source',
    needs: ['U29'],
  }),
  faultEntry({
    id: 'low-switch-short',
    name: 'low-side switch short',
    place: 'bridge',
    does: 'The low-side switch of a leg conducts all the time.',
    legs: true,
    effects: [leg(BROKEN.lowShort)],
    sight:
      'direct current and braking torque that pulses; when the high side of that leg turns on, the link is shorted through both',
    source: 'common practice, no source',
    needs: ['U29'],
  }),
];
