/** The caution that always stands, what is known of the build, and the switch of the letter keys. */
import { html } from 'lit';
import '../install/build-note.ts';
import type { Session } from '../session/session.ts';
import { SHELL_WORDS as WORDS } from './words.ts';

export interface FootFacts {
  readonly session: Session | undefined;
  /** It draws without the graphics card. */ readonly flat: boolean;
  readonly letters: boolean;
  /** The page may be kept for use offline. */ readonly keeps: boolean;
}

export function foot({ session, flat, letters, keeps }: FootFacts, turnLetters: () => void) {
  return html`<footer class="foot">
    <span>${WORDS.caution}${flat ? ` ${WORDS.flat}` : ''}</span>
    <build-note .session=${session} .keeps=${keeps}></build-note>
    <button aria-pressed=${letters} @click=${turnLetters}>${WORDS.letters(letters)}</button>
  </footer>`;
}
