/** Over a reload a tab keeps its set-up and nothing of its run: what turned, and what was recorded in the rows, is gone. */
import { keepItem, keptItem } from '../session/kept-item.ts';
import type { Session } from '../session/session.ts';

const KEY = 'phantom-spindle-set-up';
const BOARD = 'board ';

export interface KeptSetUp {
  /** As in the address of a link; '' when nothing was kept. */ readonly fragment: string;
  /** A board drove, and is not in the fragment. */ readonly board: boolean;
}

export function keptSetUp(): KeptSetUp {
  const kept = keptItem('sessionStorage', KEY) ?? '';
  const board = kept.startsWith(BOARD);
  return { fragment: board ? kept.slice(BOARD.length) : kept, board };
}

/** Keeps the set-up whenever the page goes away, once somebody has touched anything; returns how to end that. */
export function keepOverReload(session: Session): () => void {
  let asFragment: (() => string) | undefined;
  let touched = false;
  // Loaded at the first touch: when the page goes away there is no time for it.
  const touch = () => {
    if (touched) return;
    touched = true;
    void Promise.all([import('../../worker/set-up-link.ts'), import('../keep-sheet/set-up.ts')]).then(
      ([{ LONGEST_KEPT, setUpFragment }, { takeSetUp }]) => {
        asFragment = () => (session.info.board ? BOARD : '') + setUpFragment(takeSetUp(session), LONGEST_KEPT);
      },
      () => {}, // then nothing is kept, as for a first visit
    );
  };
  const onHands = (e: Event) => {
    if ((e as CustomEvent).detail !== 'demonstration') touch();
  };
  const onNews = () => {
    if (session.record.headValue('pace') !== 1 || session.record.headValue('running') === 0) touch();
  };
  const save = () => {
    if (asFragment) keepItem('sessionStorage', KEY, asFragment());
  };
  session.addEventListener('hands', onHands);
  session.addEventListener('driver', touch);
  session.addEventListener('news', onNews);
  addEventListener('pagehide', save);
  const end = () => {
    session.removeEventListener('hands', onHands);
    session.removeEventListener('driver', touch);
    session.removeEventListener('news', onNews);
    removeEventListener('pagehide', save);
  };
  session.addEventListener('closed', end, { once: true });
  return end;
}
