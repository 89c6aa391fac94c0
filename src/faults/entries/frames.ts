/** Faults of the link between drill and board. */
import type { DamageName } from '../../plant/damage.ts';
import { sized } from '../effects.ts';
import { type FaultEntry, faultEntry } from '../entry.ts';

const SAFETY = 'external communication, IEC 60730-1 annex H (overview read: data, addressing, timing)';

const share = (
  id: string,
  name: string,
  damage: DamageName,
  usual: number,
  of: string,
  does: string,
  sight: string,
): FaultEntry =>
  faultEntry({
    id,
    name,
    place: 'frames',
    does,
    size: { unit: '', show: '%', low: 0, high: 1, usual, doc: of },
    effects: [sized(damage)],
    sight,
    source: SAFETY,
    needs: ['U51', 'U50'],
  });

export const FRAMES_FAULTS = [
  share(
    'frames-lost',
    'frames lost',
    'framesLost',
    0.01,
    'share of the frames, each way',
    'Frames are lost one by one, either way.',
    'ticks without a Sense, and commands that do not come: the timer keeps what it has',
  ),
  share(
    'frames-lost-in-bursts',
    'frames lost in bursts',
    'framesBurst',
    0.05,
    'share of the time',
    'The link is down both ways for twenty ticks in a row, on the mean.',
    'gaps of many ticks, with the last command in force while the rotor turns on',
  ),
  share(
    'frames-late',
    'commands late now and then',
    'framesLate',
    0.05,
    'share of the commands',
    'Some commands come one to three ticks late; one that a newer has overtaken is refused.',
    'a late command is in force for no tick at all when the next one is in time: the timer keeps the one before it',
  ),
  share(
    'frames-doubled',
    'frames doubled',
    'framesDoubled',
    0.05,
    'share of the Sense frames',
    'Some Sense frames come twice.',
    'nothing changes: a frame that comes twice is one tick for every board',
  ),
  share(
    'frames-reordered',
    'frames in the wrong order',
    'framesTurned',
    0.05,
    'share of the Sense frames',
    'Some Sense frames come after the next one.',
    'the board sees time jump ahead and back; the answer to the older frame is refused',
  ),
  share(
    'frames-corrupted',
    'frames corrupted',
    'framesCorrupt',
    0.01,
    'share of the frames, each way',
    'Frames come with a wrong bit, and the checksum refuses them.',
    'the same as a lost frame, and the count of refused ones rises',
  ),
  share(
    'frames-wrong',
    'frames corrupted unseen',
    'framesWrong',
    0.001,
    'share of the frames, each way',
    'Frames come with a wrong bit that the checksum does not see.',
    'a reading or a duty jumps by a power of two for one tick',
  ),
];
