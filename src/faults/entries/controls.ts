/** Faults of trigger and direction switch. */
import { type DamageName, WAY, WIPER } from '../../plant/damage.ts';
import { type Effect, type FaultEntry, faultEntry } from '../entry.ts';

const OURS = 'common practice, no source';

const there = (damage: DamageName, value: number): Effect => ({ damage, value: (size) => (size > 0 ? value : 0) });

const wiper = (id: string, name: string, does: string, bit: number, sight: string): FaultEntry =>
  faultEntry({
    id,
    name,
    place: 'controls',
    does,
    effects: [there('wiper', bit)],
    sight,
    source: 'open at any terminal and short of any two, IEC 62841-1 18.6.1 (unofficial excerpt read); reading: derived',
    needs: ['U35', 'U37'],
  });

export const CONTROLS_FAULTS = [
  wiper(
    'wiper-open',
    'trigger wiper open, pulled down',
    'The wiper has lost its wire, and the board pulls the pin down.',
    WIPER.down,
    'the reading is 0, below the released end of the travel',
  ),
  wiper(
    'wiper-open-up',
    'trigger wiper open, pulled up',
    'The wiper has lost its wire, and the board pulls the pin up.',
    WIPER.up,
    'the reading is full scale, beyond the pulled end of the travel',
  ),
  wiper(
    'wiper-short-released',
    'trigger wiper shorted to the released end',
    'The wiper is shorted to the end of the track at which a released trigger stands.',
    WIPER.released,
    'the reading is a valid one and says released, whatever the finger does',
  ),
  wiper(
    'wiper-short-pulled',
    'trigger wiper shorted to the pulled end',
    'The wiper is shorted to the end of the track at which a pulled trigger stands.',
    WIPER.pulled,
    'the reading is a valid one and says fully pulled; only the trigger contact tells a released trigger',
  ),
  faultEntry({
    id: 'wiper-noisy',
    name: 'trigger wiper noisy',
    place: 'controls',
    does: 'The contact of the wiper is rough.',
    size: { unit: '', show: '%', low: 0, high: 0.3, usual: 0.03, doc: 'deviation, as a share of the travel' },
    effects: [{ damage: 'wiperNoise', value: (size) => size }],
    sight: 'the speed that is asked for jumps about its mean, at an even trigger',
    source: OURS,
    needs: ['U35'],
  }),
  faultEntry({
    id: 'wiper-worn',
    name: 'worn spot in the trigger track',
    place: 'controls',
    does: 'In a band around 40 % of the travel the wiper lifts off its track now and then.',
    size: { unit: '', show: '%', low: 0, high: 1, usual: 0.1, doc: 'width of the band, as a share of the travel' },
    effects: [{ damage: 'wornSpot', value: (size) => size }],
    sight: 'dropouts to 0 of some milliseconds while the trigger stands in the band or passes through it, none outside',
    source: OURS,
    needs: ['U35'],
  }),
  faultEntry({
    id: 'direction-bounce',
    name: 'direction switch bounces',
    place: 'controls',
    does: 'After each change the new contact of the direction switch opens and closes for a while.',
    size: { unit: 's', show: 'ms', low: 0, high: 0.2, usual: 5e-3, doc: 'time for which it bounces' },
    effects: [{ damage: 'wayBounce', value: (size) => size }],
    sight: 'In or Out comes and goes at random until the contact rests; the other one never appears',
    source: OURS,
    needs: ['U7', 'U8'],
  }),
  faultEntry({
    id: 'direction-flip',
    name: 'direction switch flips by itself',
    place: 'controls',
    does: 'The direction switch reads the other way, at any speed.',
    effects: [there('wayBad', WAY.turned)],
    sight: 'In and Out are exchanged while the motor turns; a drive that obeys plugs the motor and feeds the link',
    source: OURS,
    needs: ['U8'],
  }),
  faultEntry({
    id: 'direction-open',
    name: 'direction switch open',
    place: 'controls',
    does: 'The common wire of the direction switch is broken.',
    effects: [there('wayBad', WAY.open)],
    sight: 'neither In nor Out, as in the locked position',
    source: 'open at any terminal, IEC 62841-1 18.6.1 (unofficial excerpt read)',
    needs: ['U37'],
  }),
  faultEntry({
    id: 'direction-both',
    name: 'direction lines shorted',
    place: 'controls',
    does: 'The two lines of the direction switch are shorted to each other.',
    effects: [there('wayBad', WAY.both)],
    sight: 'In and Out at once, which no position of the switch gives',
    source: 'short of any two terminals, IEC 62841-1 18.6.1 (unofficial excerpt read)',
    needs: ['U37'],
  }),
  faultEntry({
    id: 'contact-welded',
    name: 'trigger contact welded',
    place: 'controls',
    does: 'The trigger contact does not open any more.',
    effects: [there('contactWelded', 1)],
    sight: 'the link stays at the pack voltage after the trigger is let go; only the wiper tells a released trigger',
    source: OURS,
    needs: ['U36', 'U35'],
  }),
];
