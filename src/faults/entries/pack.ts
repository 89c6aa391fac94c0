/** Faults of the battery pack and its contact. */
import { sized, there } from '../effects.ts';
import { faultEntry } from '../entry.ts';

export const PACK_FAULTS = [
  faultEntry({
    id: 'cell-weak',
    name: 'weak cell',
    place: 'pack',
    does: 'One cell of the series has lost a share of its capacity, was full with the others, and has gained resistance.',
    size: { unit: '', show: '%', low: 0, high: 0.9, usual: 0.3, doc: 'share of its capacity that the cell has lost' },
    effects: [
      sized('cellLost'),
      // Twice the resistance where a fifth of the capacity is gone.
      { damage: 'cellOhmMore', value: (size) => 5 * size },
    ],
    sight:
      'the pack sags more under the same current, and its protection opens on a low cell when the share of the weak cell, not of the pack, is used up',
    source:
      'tefoo-energy.com (cells of different capacity in series: the smallest decides); twice the resistance at 80 % of the capacity read on ansh-bohrey.github.io (chart of cell resistance)',
    needs: ['U23', 'U49', 'U52'],
  }),
  faultEntry({
    id: 'cells-cold',
    name: 'cold cells',
    place: 'pack',
    does: 'All cells are colder than the air, as after a night in the van, and have the resistance that belongs to that.',
    size: { unit: 'K', show: 'K', low: 0, high: 60, usual: 40, doc: 'by how much the cells are colder' },
    effects: [sized('cellsCold')],
    sight: 'the pack sags more under the same current; at -20 °C its cells have three to five times their resistance',
    source: 'ansh-bohrey.github.io (chart of cell resistance over temperature)',
    needs: ['U23'],
  }),
  faultEntry({
    id: 'pack-opens',
    name: 'pack protection opens',
    place: 'pack',
    does: 'The switch in the pack opens at once and without a cause; it closes again when the fault ends.',
    effects: [there('packOff', 1)],
    sight:
      'the link falls by I / C while the motor draws, and rises while it is braked: the energy of the rotor has nowhere to go but the link capacitance',
    source: 'charge and energy of a capacitor; public reports of packs that cut out while braking, names left out',
    needs: ['U24', 'U26'],
  }),
  faultEntry({
    id: 'contact-bounces',
    name: 'trigger contact bounces under way',
    place: 'pack',
    does: 'The trigger contact stands off while the trigger is pressed; take the shape intermittent for bouncing.',
    effects: [there('contactOff', 1)],
    sight: 'the pack current falls to zero and the link by I / C for each stay; with long stays the board browns out',
    source: 'charge of a capacitor; common practice, no source, for the bouncing',
    needs: ['U24', 'U25', 'U36'],
  }),
  faultEntry({
    id: 'pack-resistance',
    name: 'worn pack terminals',
    place: 'pack',
    does: 'Terminals of the pack and trigger contact have gained resistance.',
    size: { unit: 'ohm', show: 'mohm', low: 0, high: 1, usual: 0.03, doc: 'resistance gained' },
    effects: [sized('contactOhm')],
    sight: 'the link falls further under current by just that resistance, while the cells stay where they were',
    source: 'direct-current resistance from two currents, IEC 61960-3 (from memory)',
    needs: ['U23', 'U24', 'U52'],
  }),
];
