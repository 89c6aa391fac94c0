/** One hint, on the first visit of this browser, until a hand is moved; then never again. Nothing to set, nothing to close. */
import { html } from 'lit';
import { keepItem, keptItem } from '../session/kept-item.ts';
import type { Session } from '../session/session.ts';
import { SHELL_WORDS as WORDS } from './words.ts';

const KEY = 'phantom-spindle.has-driven';

/** Whether somebody has driven here before. Where a browser keeps nothing, every visit is the first. */
export const isFirstVisit = (): boolean => keptItem('localStorage', KEY) === undefined;

/** Whether a person squeezes just now; the browser keeps that it happened. */
export function hasDriven(hands: Event, session: Session): boolean {
  if ((hands as CustomEvent<string>).detail !== 'person' || session.hands.trigger === 0) return false;
  keepItem('localStorage', KEY, 'yes');
  return true;
}

/** Stands over the trigger and takes no click from what is under it. Keys are named where there may be some. */
export const firstHint = () =>
  html`<p class="hint">${WORDS.hint}<span class="by-keys">${WORDS.hintKeys[0]}<kbd>T</kbd>${WORDS.hintKeys[1]}</span><span class="by-touch">${WORDS.hintTouch}</span></p>`;
