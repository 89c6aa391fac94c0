/** A fault that is armed or active, as a pin: what it is, how it stands, and what can be done with it. */
import { css, html, nothing } from 'lit';
import type { LiveFault } from '../../worker/api.ts';
import { capital } from '../controller-sheet/words.ts';
import { clearFault, fireFault } from '../session/faults.ts';
import type { Session } from '../session/session.ts';
import { FAULT_WORDS as WORDS } from './words.ts';

export const faultPinStyles = css`
  .fault { position: relative; }
  .fault b { overflow-wrap: anywhere; }
  .fault .acts { display: flex; flex-wrap: wrap; gap: 0.35rem; margin-top: 0.25rem; }
  .fault .key { min-height: 24px; padding: 0.05rem 0.6rem; }
  .fault .key.firm { background: var(--ink); color: var(--paper); border-color: var(--ink); font-weight: 600; }
  /* Hazard tape at its edge: framed while armed, full while active. */
  .tape { position: absolute; left: 0; top: 1px; bottom: 1px; width: 0.55rem; border: 1.5px solid var(--tape); }
  .active > .tape { border: 0; background: repeating-linear-gradient(-45deg, var(--tape) 0 6px, var(--on-tape) 6px 11px); }
  @media (pointer: coarse) { .fault .key { min-height: 44px; } }
  @media (forced-colors: active) { .tape { border-color: CanvasText; } }
`;

/** What an act on a fault may do to the page. */
export interface PinHooks {
  /** Why the last act was refused, '' when it was done. */ refused(words: string): void;
}

export function faultName({ name, leg }: LiveFault): string {
  return `${capital(name)}${leg ? WORDS.leg(leg) : ''}`;
}

/** Content of the pin of one fault. */
export function faultPin(session: Session, fault: LiveFault, hooks: PinHooks) {
  const { handle, state, words, since_s } = fault;
  const name = faultName(fault);
  const act = (deed: typeof fireFault) => () =>
    deed(session, handle).then(
      () => hooks.refused(''),
      (error: Error) => hooks.refused(error.message),
    );
  const button = (label: string, deed: typeof fireFault, firm = false) =>
    html`<button class="key ${firm ? 'firm' : ''}" data-handle=${handle} aria-label="${label}: ${name}" @click=${act(deed)}>${label}</button>`;
  return html`<i class="tape" aria-hidden="true"></i><b>${name}</b><span>${words}${words ? '. ' : ''}${capital(WORDS.states[state](since_s.toFixed(3)))}.</span>
    <div class="acts">
      ${state === 'armed' ? button(WORDS.fire, fireFault, true) : nothing}
      ${button(state === 'active' ? WORDS.clear : WORDS.disarm, clearFault)}
    </div>`;
}

/** A key that is held down repeats its press: what was armed would be fired, and what was fired cleared again. */
export function oncePerPress(e: KeyboardEvent): void {
  if (e.repeat && (e.key === 'Enter' || e.key === ' ')) e.preventDefault();
}

/**
 * Keeps the focus with a fault whose state is heard of: the button that was pressed goes, and the fault has another one or none.
 * `before` a renewal of the element with the pins, `after` it.
 */
export class PinFocus {
  private held: string | undefined;

  before(root: ShadowRoot | null): void {
    this.held = (root?.activeElement as HTMLElement | null | undefined)?.dataset.handle;
  }

  /** @param next takes the focus when the fault has no button left */
  after(root: ShadowRoot | null, next: string): void {
    if (!root || this.held === undefined || root.activeElement) return;
    const other = root.querySelector<HTMLElement>(`[data-handle='${this.held}']`);
    (other ?? root.querySelector<HTMLElement>(next))?.focus();
  }
}
