/** One tab drives a board: two pages that press the trigger of one motor are a danger, and both would be believed. */
import type { BoardPlace, Refused } from './api.ts';
import { holdLock } from './hold-lock.ts';

/** Places that this tab holds, by how many links it has to them. */
const held = new Map<string, { count: number; let: () => void }>();

/** A serial port has one owner by itself: the browser opens it once. */
const whereOf = (place: BoardPlace): string | undefined => {
  if (place.kind === 'serial') return undefined;
  if (place.kind === 'socket') return place.address;
  return URL.canParse(place.page) ? new URL(place.page).host : undefined;
};

/** Resolves with what gives the place back, or undefined when another tab has it. */
export async function holdPlace(place: BoardPlace): Promise<(() => void) | undefined> {
  const where = whereOf(place);
  if (where === undefined) return () => {};
  const name = `phantom-spindle-board ${where}`;
  const mine = held.get(name);
  if (mine) mine.count++;
  else {
    const taken = await holdLock(name);
    if (!taken) return undefined;
    held.set(name, { count: 1, let: taken });
  }
  let given = false;
  return () => {
    const entry = held.get(name);
    if (given || !entry) return;
    given = true;
    if (--entry.count > 0) return;
    held.delete(name);
    entry.let();
  };
}

/** What the second tab is told. */
export const elsewhere = (place: BoardPlace): Refused => ({
  ok: false,
  why: 'set-up',
  lines: [
    `Another tab of this browser drives the board at ${whereOf(place)}. ` +
      'Only one may: look on there, or disconnect it there and connect again here.',
  ],
});
