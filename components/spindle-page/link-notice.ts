import { html } from 'lit';
import type { Told } from '../keep-sheet/from-link.ts';
import { SHELL_WORDS as WORDS } from './words.ts';

/** What came of the set-up that the page opened with: not as asked for and why, or as before a reload. Stands over Record. */
export function linkNotice({ title, text, calm }: Told, close: () => void) {
  return html`<div class="notice" role=${calm ? 'status' : 'alert'}><b>${title}</b><p>${text}</p>
    <button class="key" @click=${close}>${WORDS.goOn}</button></div>`;
}
