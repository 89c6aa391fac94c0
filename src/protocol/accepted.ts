/** Which frames each side of a link takes, from the declarations. */
import { DRIVE, FRAMES, HELLO_ID, REPORT } from './frames.ts';
import { HELLO_BYTES_MOST } from './hello.ts';
import type { Accepted } from './packet.ts';

/** What the host takes. After Hello the length of Drive and Report is known: give the number of watch values. */
export function acceptedByHost(watchCount?: number): readonly Accepted[] {
  const frames = FRAMES.filter((each) => each.from !== 'host').map((each) => {
    const { id, bytes, mostBytes } = each;
    const known = watchCount !== undefined && (each === DRIVE || each === REPORT);
    const least = known ? bytes + 4 * watchCount : bytes;
    return { id, least, most: known ? least : mostBytes };
  });
  return [...frames, { id: HELLO_ID, least: 1, most: HELLO_BYTES_MOST }];
}

/** What a board takes. */
export function acceptedByBoard(): readonly Accepted[] {
  return FRAMES.filter((each) => each.from !== 'board').map(({ id, bytes, mostBytes }) => ({
    id,
    least: bytes,
    most: mostBytes,
  }));
}
