/** Faults of switches and gate drive. */
import { BROKEN } from '../../plant/damage.ts';
import { perLeg, sized, there } from '../effects.ts';
import { faultEntry, OURS } from '../entry.ts';

const LEG = perLeg('leg');

export const BRIDGE_FAULTS = [
  faultEntry({
    id: 'high-switch-open',
    name: 'high-side switch open',
    place: 'bridge',
    does: 'The high-side switch of a leg does not conduct any more; its diode still does.',
    legs: true,
    effects: [there(LEG, BROKEN.highOpen)],
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
    effects: [there(LEG, BROKEN.lowOpen)],
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
    effects: [there(LEG, BROKEN.highShort)],
    sight:
      'direct current and braking torque that pulses; when the low side of that leg turns on, the link is shorted through both',
    source: OURS,
    needs: ['U29'],
  }),
  faultEntry({
    id: 'low-switch-short',
    name: 'low-side switch short',
    place: 'bridge',
    does: 'The low-side switch of a leg conducts all the time.',
    legs: true,
    effects: [there(LEG, BROKEN.lowShort)],
    sight:
      'direct current and braking torque that pulses; when the high side of that leg turns on, the link is shorted through both',
    source: OURS,
    needs: ['U29'],
  }),
  faultEntry({
    id: 'gate-low',
    name: 'gate supply too low',
    place: 'bridge',
    does: 'The gate supply of a leg lacks some volts, high side and low side.',
    legs: true,
    size: { unit: 'V', show: 'V', low: 0, high: 12, usual: 4, doc: 'gate voltage that is missing' },
    effects: [sized(perLeg('gateLess'))],
    sight:
      'resistance and heat of both switches of the leg rise as 1 / (Vgs - Vth), and below the lock-out the high side drops out',
    source: 'Ron = 1 / (mu Cox W/L (Vgs - Vth)) read on studyx.ai; lock-out: common practice, no source',
    needs: ['U30'],
  }),
  faultEntry({
    id: 'dead-time-long',
    name: 'dead time longer than set',
    place: 'bridge',
    does: 'All gates turn on later than they should.',
    size: { unit: 's', show: 'us', low: 0, high: 5e-6, usual: 1e-6, doc: 'by how much later' },
    effects: [sized('deadMoreA'), sized('deadMoreB'), sized('deadMoreC')],
    sight:
      'each phase loses Vdc t f against its current: fifth and seventh harmonic in the phases, a sixth in d and q, torque ripple at low speed',
    source:
      'Fourier series of the sign of a sine; scite.ai (inverter voltage drop: depends on link, dead time, frequency, sign)',
    needs: ['U17'],
  }),
  faultEntry({
    id: 'dead-time-leg',
    name: 'dead time of one leg longer than set',
    place: 'bridge',
    does: 'The gates of one leg turn on later than they should.',
    legs: true,
    size: { unit: 's', show: 'us', low: 0, high: 5e-6, usual: 1e-6, doc: 'by how much later' },
    effects: [sized(perLeg('deadMore'))],
    sight:
      'that phase loses Vdc t f against its current: the three are not alike any more, a second harmonic in d and q',
    source: 'Fourier series of the sign of a sine in one of three phases, derived',
    needs: ['U17'],
  }),
];
