/** Faults of the motor and the wires to it. */
import { BROKEN } from '../../plant/damage.ts';
import { faultEntry } from '../entry.ts';

export const MOTOR_FAULTS = [
  faultEntry({
    id: 'phase-open',
    name: 'phase wire open',
    place: 'motor',
    does: 'The wire between a leg and the motor is broken: no current flows in that phase.',
    legs: true,
    effects: [{ damage: { a: 'legA', b: 'legB', c: 'legC' }, value: (size) => (size > 0 ? BROKEN.wireOpen : 0) }],
    sight: 'one phase current is zero, the other two are opposite, and torque falls to zero twice an electrical turn',
    source: 'closed form of two phases in series, tests/verification/open-phase-torque',
    needs: ['U31'],
  }),
  faultEntry({
    id: 'magnet-weak',
    name: 'weakened magnet',
    place: 'motor',
    does: 'The magnets have lost a share of their flux for good.',
    size: { unit: '', show: '%', low: 0, high: 0.9, usual: 0.1, doc: 'share of the flux that is lost' },
    effects: [{ damage: 'fluxLost', value: (size) => size }],
    sight: 'no-load speed rises and torque per ampere falls, both by that share',
    source: 'emworks.com blog 2025 (demagnetization by reverse field and temperature)',
    needs: ['U32', 'U52'],
  }),
];
