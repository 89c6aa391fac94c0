/** The caution that always stands, and the switch of the letter keys. */
import { html } from 'lit';
import { SHELL_WORDS as WORDS } from './words.ts';

/** The foot of the page; `flat` when it draws without the graphics card. */
export function foot(flat: boolean, letters: boolean, turnLetters: () => void) {
  return html`<footer class="foot">
    <span>${WORDS.caution}${flat ? ` ${WORDS.flat}` : ''}</span>
    <button aria-pressed=${letters} @click=${turnLetters}>${WORDS.letters(letters)}</button>
  </footer>`;
}
