/** One tab drives a board: two pages that press the trigger of one motor are a danger, and both would be believed. */
import type { BoardPlace, Refused } from './api.ts';

/** What is used of navigator.locks; a page that is not from https or this machine has none, and then nothing is held. */
interface Locks {
  request(name: string, options: { ifAvailable: true }, held: (lock: unknown) => Promise<void> | void): Promise<void>;
}

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
  const { locks } = (globalThis.navigator ?? {}) as { locks?: Locks };
  const where = whereOf(place);
  if (where === undefined || !locks) return () => {};
  const name = `phantom-spindle-board ${where}`;
  const mine = held.get(name);
  if (mine) mine.count++;
  else {
    const taken = await new Promise<(() => void) | undefined>((resolve) => {
      void locks.request(name, { ifAvailable: true }, (lock) =>
        lock ? new Promise<void>((free) => resolve(free)) : resolve(undefined),
      );
    });
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
