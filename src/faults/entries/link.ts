/** Faults of the DC link. */
import { sized } from '../effects.ts';
import { faultEntry } from '../entry.ts';

/** Share of the capacitance that is gone where the series resistance has doubled. */
const END_OF_LIFE = 0.3;

export const LINK_FAULTS = [
  faultEntry({
    id: 'link-aged',
    name: 'aged link capacitor',
    place: 'link',
    does: 'The link capacitor has dried out: less capacitance, and more series resistance with it.',
    size: { unit: '', show: '%', low: 0, high: 0.95, usual: 0.3, doc: 'share of the capacitance that is lost' },
    effects: [sized('linkLost'), { damage: 'linkEsrMore', value: (size) => size / END_OF_LIFE }],
    sight:
      'the link ripples more at the PWM frequency: I D (1 - D) / (f C) of the charge, and I times the series resistance as a step at each edge',
    source:
      '70 % of the capacitance at twice the series resistance read on m.oem-pcb.com (capacitor plague); ripple from the charge of the capacitor',
    needs: ['U37', 'U52'],
  }),
  faultEntry({
    id: 'link-resistance',
    name: 'bad joint of the link capacitor',
    place: 'link',
    does: 'The series resistance of the link capacitor has grown, its capacitance not.',
    size: { unit: '', show: '', low: 0, high: 10, usual: 3, doc: 'resistance gained, over that of a new one' },
    effects: [sized('linkEsrMore')],
    sight: 'at each edge the link steps by I times the series resistance',
    source: 'Ohm; common practice, no source, for the bad joint',
    needs: ['U37'],
  }),
];
