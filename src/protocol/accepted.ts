/**
 * Which frames each side of a link takes, from the declarations. A frame that something can be appended to may be longer
 * than known here: then its sender is newer, and the part that is known is read.
 */
import { type Frame, isClosed } from './dsl.ts';
import { DRIVE, FRAMES, HELLO_ID, PAYLOAD_MOST, REPORT } from './frames.ts';
import { HELLO_BYTES_MOST } from './hello.ts';
import type { Accepted } from './packet.ts';

/** What the host takes. After Hello the length of Drive and Report is known: give the number of watch values. */
export function acceptedByHost(watchCount?: number): readonly Accepted[] {
  const frames = FRAMES.filter((each) => each.from !== 'host').map((each) => {
    if (watchCount === undefined || (each !== DRIVE && each !== REPORT)) return takenOf(each);
    const length = each.bytes + 4 * watchCount;
    return { id: each.id, least: length, most: length };
  });
  return [...frames, { id: HELLO_ID, least: 1, most: HELLO_BYTES_MOST }];
}

/** What a board takes. */
export function acceptedByBoard(): readonly Accepted[] {
  return FRAMES.filter((each) => each.from !== 'board').map(takenOf);
}

/** How long a frame may be that arrives. */
export function takenOf(frame: Frame): Accepted {
  return { id: frame.id, least: frame.leastBytes, most: isClosed(frame) ? frame.mostBytes : PAYLOAD_MOST };
}
