/** Faults of the controller board. */
import { sized, there } from '../effects.ts';
import { faultEntry } from '../entry.ts';

export const BOARD_FAULTS = [
  faultEntry({
    id: 'board-reset',
    name: 'board resets',
    place: 'board',
    does: 'The board loses its state, is down for a while and boots.',
    size: { unit: 's', show: 'ms', low: 50e-6, high: 1, usual: 10e-3, doc: 'time for which it is down' },
    effects: [sized('boardReset')],
    sight: 'legs open at once, state and watch list gone, then a BOOT with the trigger held and no new press',
    source: 'electronics.stackexchange.com/questions/432473 (a board that restarts when the current rises)',
    needs: ['U24', 'U25', 'U36', 'U48'],
  }),
  faultEntry({
    id: 'output-frozen',
    name: 'output frozen',
    place: 'board',
    does: 'The timer keeps the last command; the program runs on.',
    effects: [there('outputFrozen', 1)],
    sight: 'duties stand still while the rotor turns on: the voltage vector stands, and d and q see it turn backward',
    source:
      'a vector that stands in the stator turns backward in the rotor frame; hung output: IEC 60730-1 annex H (overview read)',
    needs: ['U48', 'U51'],
  }),
  faultEntry({
    id: 'answer-late',
    name: 'answer late',
    place: 'board',
    does: 'Every command takes effect some periods later than it should.',
    size: { unit: 's', show: 'us', low: 0, high: 2e-3, usual: 100e-6, doc: 'delay; rounded up to whole periods' },
    effects: [sized('answerLate')],
    sight: 'the voltage vector lags by the electrical speed times the delay',
    source: 'a dead time of t turns by w t; physics of a rotating frame, derived',
    needs: ['U19', 'U51'],
  }),
  faultEntry({
    id: 'clock-skew',
    name: 'clock of the board wrong',
    place: 'board',
    does: 'The clock of the board is fast: now and then it counts a tick too much; slow: it leaves one out.',
    size: { unit: '', show: '%', low: -0.2, high: 0.2, usual: 0.02, doc: 'by how much the clock is fast' },
    effects: [sized('clockSkew')],
    sight:
      'all times that the board measures are wrong by that share: it takes the speed for too low when its clock is fast',
    source: 'speed = angle / time; clock as a fault: IEC 60730-1 annex H (overview read)',
    needs: ['U48'],
  }),
];
