/** Faults of the motor and the wires to it. */
import { BROKEN, type DamageName } from '../../plant/damage.ts';
import { perLeg, sized, there } from '../effects.ts';
import { type FaultEntry, faultEntry } from '../entry.ts';

const swapped = (id: string, name: string, wiring: number): FaultEntry =>
  faultEntry({
    id,
    name,
    place: 'motor',
    does: 'Two wires of the motor are at each other’s leg; Halls and shunts stay where they are.',
    effects: [there('wiring', wiring)],
    sight:
      'a controller that turns its vector with the rotor turns the field backward: currents of twice the frequency in d and q, no mean torque',
    source:
      'mirrored space vector, Krause and others 2002 (bibliography read, text not); tests/verification/swapped-phases',
    needs: ['U10'],
  });

const wiresShorted = (id: string, name: string, damage: DamageName): FaultEntry =>
  faultEntry({
    id,
    name,
    place: 'motor',
    does: 'The outputs of two legs lie together through a resistance, past the winding; their shunts carry it.',
    size: { unit: 'S', show: 'S', low: 2, high: 200, usual: 50, doc: 'conductance of the short: 50 S is 20 mohm' },
    effects: [sized(damage)],
    sight:
      'while one of the two legs is high and the other low the pack gives the link voltage over that resistance and the switches, through the shunt of the low one; with all gates off the two phases brake',
    source: 'Ohm; opens and shorts of any terminals as in IEC 62841-1 18.6.1 (unofficial excerpt read)',
    needs: ['U31', 'U37'],
  });

export const MOTOR_FAULTS = [
  faultEntry({
    id: 'phase-open',
    name: 'phase wire open',
    place: 'motor',
    does: 'The wire between a leg and the motor is broken: no current flows in that phase.',
    legs: true,
    effects: [there(perLeg('leg'), BROKEN.wireOpen)],
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
    effects: [sized('fluxLost')],
    sight: 'no-load speed rises and torque per ampere falls, both by that share',
    source: 'emworks.com blog 2025 (demagnetization by reverse field and temperature)',
    needs: ['U32', 'U52'],
  }),
  swapped('phases-ab-swapped', 'phases A and B swapped', 1),
  swapped('phases-bc-swapped', 'phases B and C swapped', 2),
  swapped('phases-ac-swapped', 'phases A and C swapped', 3),
  faultEntry({
    id: 'phase-resistance',
    name: 'bad joint in a phase',
    place: 'motor',
    does: 'The wire between a leg and the motor has gained resistance.',
    legs: true,
    size: { unit: 'ohm', show: 'mohm', low: 0, high: 0.5, usual: 0.01, doc: 'resistance gained' },
    effects: [sized(perLeg('phaseOhm'))],
    sight: 'that phase current is smaller, and d and q carry a second harmonic: the unbalance is a backward current',
    source: 'symmetrical components (Fortescue 1918, from memory), derived for voltages that turn with the rotor',
    needs: ['U31', 'U37'],
  }),
  faultEntry({
    id: 'phase-to-minus',
    name: 'phase shorted to minus',
    place: 'motor',
    does: 'The output of a leg lies at minus through a resistance, past its shunt.',
    legs: true,
    size: { unit: 'S', show: 'S', low: 2, high: 100, usual: 20, doc: 'conductance of the short: 20 S is 50 mohm' },
    effects: [sized(perLeg('toMinus'))],
    sight:
      'the pack gives the link voltage over that resistance whenever the high side is on, and the shunt of the leg does not see it; with all gates off the phase brakes',
    source: 'Ohm; opens and shorts of any terminals as in IEC 62841-1 18.6.1 (unofficial excerpt read)',
    needs: ['U31', 'U37'],
  }),
  wiresShorted('wires-ab-shorted', 'motor wires A and B shorted', 'abShorted'),
  wiresShorted('wires-bc-shorted', 'motor wires B and C shorted', 'bcShorted'),
  wiresShorted('wires-ac-shorted', 'motor wires A and C shorted', 'acShorted'),
  faultEntry({
    id: 'turns-shorted',
    name: 'shorted turns',
    place: 'motor',
    does: 'A share of the turns of phase A is shorted through some milliohms.',
    size: { unit: '', show: '%', low: 0, high: 0.5, usual: 0.1, doc: 'share of the turns of phase A' },
    effects: [sized('turnsShorted'), there('shortOhm', 0.004)],
    sight:
      'a large current in the loop that grows with speed, drag that grows with its heat, and a second harmonic in d and q',
    source:
      'Kirchhoff for a loop that shares the phase flux, tests/plant/shorted-turns; the second harmonic from memory',
    needs: ['U37', 'U52'],
  }),
  faultEntry({
    id: 'motor-hot',
    name: 'hot motor',
    place: 'motor',
    does: 'Winding, housing and magnets are hotter at once, as after hard work; they cool down from there.',
    size: { unit: 'K', show: 'K', low: 0, high: 120, usual: 80, doc: 'by how much hotter' },
    effects: [sized('motorHot')],
    sight: 'winding resistance 39 % up and magnet flux 11 % down per 100 K: lower stall torque, higher no-load speed',
    source: 'copper coefficient of IEC 60028 (from memory); -0.09 to -0.12 %/K for NdFeB read on advancedmagnets.com',
    needs: ['U12', 'U33'],
  }),
  faultEntry({
    id: 'bearing-dry',
    name: 'dry bearing',
    place: 'motor',
    does: 'The bearings of the rotor have gained dry friction.',
    size: { unit: 'N·m', show: 'mN·m', low: 0, high: 0.2, usual: 0.02, doc: 'friction gained' },
    effects: [sized('bearingMore')],
    sight:
      'the no-load current rises by that friction over the torque constant, at any speed, and the rotor stops sooner',
    source: 'T = 1.5 p lambda iq (Krause and others 2002, bibliography read, text not)',
    needs: ['U52'],
  }),
];
