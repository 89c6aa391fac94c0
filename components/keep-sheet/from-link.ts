/** The set-up that stands in the address of the page. */
import type { Session } from '../session/session.ts';
import { KEEP_WORDS as WORDS } from './words.ts';

/** Tells the way to a set-up in a fragment from every other one. */
export const isSetUpLink = (fragment: string): boolean => fragment.startsWith('#set-up=');

/** What came of a link: what is wrong in it, in words, '' for nothing; the pace that is set now. */
export interface Followed {
  readonly why: string;
  readonly pace: number;
}

/** Links that are under way, one behind the other: two at once would mix their faults on one bench. */
let last: Promise<unknown> = Promise.resolve();

/** Sets the session up as the fragment says, or as for a first visit when it cannot. */
export function followLink(session: Session, fragment: string): Promise<Followed> {
  const next = last.then(() => follow(session, fragment));
  last = next.catch(() => {}); // whoever asked for it hears of it
  return next;
}

async function follow(session: Session, fragment: string): Promise<Followed> {
  const [{ readSetUp }, { applySetUp, firstVisit }] = await Promise.all([
    import('../../worker/set-up-link.ts'),
    import('./set-up.ts'),
  ]);
  const read = readSetUp(fragment);
  try {
    if (!read.ok) throw new RangeError(read.why);
    await applySetUp(session, read.setUp);
    return { why: '', pace: read.setUp.pace ?? 1 };
  } catch (error) {
    await firstVisit(session);
    return { why: WORDS.badLink((error as Error).message), pace: 1 };
  }
}
