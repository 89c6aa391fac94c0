/** Faults of switches and gate drive. */
import { BROKEN } from '../../plant/damage.ts';
import { perLeg, sized, there } from '../effects.ts';
import { type Effect, type FaultEntry, faultEntry, OURS } from '../entry.ts';

const LEG = perLeg('leg');

/** A dead time that lacks as much as the fault is large. */
const shorter = (damage: Effect['damage']): Effect => ({ damage, value: (size) => -size });

const deadShort = (id: string, name: string, does: string, effects: readonly Effect[], legs = false): FaultEntry =>
  faultEntry({
    id,
    name,
    place: 'bridge',
    does,
    legs,
    size: {
      unit: 's',
      show: 'us',
      low: 0,
      high: 5e-6,
      usual: 0.5e-6,
      doc: 'by how much sooner; no dead time is left at most',
    },
    effects,
    sight:
      'once less is left than a switch takes to turn off, each edge shorts the link through both switches for the rest: they and the link capacitor warm without load, and the pack gives more',
    source: 'Ohm for the resistances of both switches, shunt and link; the time of turning off is illustrative',
    needs: ['U17', 'U29'],
  });

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
  deadShort('dead-time-short', 'dead time shorter than set', 'All gates turn on sooner than they should.', [
    shorter('deadMoreA'),
    shorter('deadMoreB'),
    shorter('deadMoreC'),
  ]),
  deadShort(
    'dead-time-leg-short',
    'dead time of one leg shorter than set',
    'The gates of one leg turn on sooner than they should.',
    [shorter(perLeg('deadMore'))],
    true,
  ),
];
