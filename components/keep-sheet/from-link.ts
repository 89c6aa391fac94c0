/** The set-up that stands in the address of the page, or that its tab kept over a reload. */
import { keptSetUp } from '../install/over-reload.ts';
import { INSTALL_WORDS } from '../install/words.ts';
import type { Session } from '../session/session.ts';
import { KEEP_WORDS as WORDS } from './words.ts';

/** Tells the way to a set-up in a fragment from every other one. */
export const isSetUpLink = (fragment: string): boolean => fragment.startsWith('#set-up=');

/** What a page opens with. */
export interface Asked {
  readonly fragment: string;
  readonly from: 'link' | 'reload';
  /** A board drove before a reload. */ readonly board?: boolean;
}

/** What a person is told about how the page was set up. */
export interface Told {
  readonly title: string;
  readonly text: string;
  /** Nothing is wrong. */ readonly calm: boolean;
}

/** What came of it, and the pace that is set now. */
export interface Followed {
  readonly told: Told | undefined;
  readonly pace: number;
}

/** The link in the address goes before what was kept; undefined for a first visit. */
export function askedSetUp(address: string, kept = keptSetUp()): Asked | undefined {
  const { hash } = new URL(address);
  if (isSetUpLink(hash)) return { fragment: hash, from: 'link' };
  return kept.fragment === '' ? undefined : { ...kept, from: 'reload' };
}

/** Set-ups that are under way, one behind the other: two at once would mix their faults on one bench. */
let last: Promise<unknown> = Promise.resolve();

/** Sets the session up as it was asked for, or as for a first visit when that cannot be. */
export function followLink(session: Session, asked: Asked): Promise<Followed> {
  const next = last.then(() => follow(session, asked));
  last = next.catch(() => {}); // whoever asked for it hears of it
  return next;
}

async function follow(session: Session, { fragment, from, board }: Asked): Promise<Followed> {
  const [{ LONGEST_KEPT, readSetUp }, { applySetUp, firstVisit }] = await Promise.all([
    import('../../worker/set-up-link.ts'),
    import('./set-up.ts'),
  ]);
  const again = from === 'reload';
  const read = readSetUp(fragment, again ? LONGEST_KEPT : undefined);
  try {
    if (!read.ok) throw new RangeError(read.why);
    await applySetUp(session, read.setUp);
    const text = `${INSTALL_WORDS.anew}${board ? ` ${INSTALL_WORDS.boardLeftOut}` : ''}`;
    const told = again ? { title: INSTALL_WORDS.asBefore, text, calm: true } : undefined;
    return { told, pace: read.setUp.pace ?? 1 };
  } catch (error) {
    await firstVisit(session);
    const why = (error as Error).message;
    const told = again
      ? { title: INSTALL_WORDS.notAsBefore, text: INSTALL_WORDS.badKept(why), calm: false }
      : { title: WORDS.notAsLinked, text: WORDS.badLink(why), calm: false };
    return { told, pace: 1 };
  }
}
