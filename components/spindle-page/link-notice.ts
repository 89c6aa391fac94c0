import { html } from 'lit';
import './sleep-notice.ts';
import { SHELL_WORDS as WORDS } from './words.ts';

/** The link that opened the page could not be followed: why, and what was done instead. Stands over Record. */
export function linkNotice(why: string, close: () => void) {
  return html`<div class="notice" role="alert"><b>${WORDS.notAsLinked}</b><p>${why}</p>
    <button class="key" @click=${close}>${WORDS.goOn}</button></div>`;
}
