/** Which frames each side of a link takes, from the declarations. */
import { DRIVE, FRAMES, HELLO_ID } from './frames.ts';
import { HELLO_BYTES_MOST } from './hello.ts';
import type { Accepted } from './packet.ts';

/** What the host takes. After Hello the length of Drive is known: give the number of watch values. */
export function acceptedByHost(watchCount?: number): readonly Accepted[] {
  const least = DRIVE.bytes + 4 * (watchCount ?? 0);
  const most = watchCount === undefined ? DRIVE.mostBytes : least;
  return [
    { id: DRIVE.id, least, most },
    { id: HELLO_ID, least: 1, most: HELLO_BYTES_MOST },
  ];
}

/** What a board takes. */
export function acceptedByBoard(): readonly Accepted[] {
  return FRAMES.filter((each) => each.from === 'host').map(({ id, bytes }) => ({ id, least: bytes, most: bytes }));
}
