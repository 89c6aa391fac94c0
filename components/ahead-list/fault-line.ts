import { css, html, LitElement, nothing } from 'lit';
import type { LiveFault } from '../../worker/api.ts';
import { capital } from '../controller-sheet/words.ts';
import { clearFaults, faultCount, liveFaults } from '../session/faults.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { faultName } from './fault-pin.ts';
import { FAULT_WORDS as WORDS } from './words.ts';

/** Here Ahead lies far below what is in sight. */
const PHONE = matchMedia('(max-width: 640px)');

/** The line, wherever Ahead is out of sight. */
export const faultLine = (session: Session | undefined, hidden: boolean, open: () => void) =>
  session && (hidden || PHONE.matches)
    ? html`<fault-line .session=${session} .faults=${liveFaults(session)} @panel=${open}></fault-line>`
    : nothing;

/**
 * Every armed and active fault on one line, for where something else stands in the place of Ahead: a fault stays in sight and can be
 * taken away from wherever one is.
 *
 * @fires panel - detail: 'faults', the person wants to see them
 */
export class FaultLine extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: block; }
      .line {
        position: relative; display: flex; align-items: center; gap: 0.8rem; background: var(--paper); border-top: 1px solid var(--rule);
        padding: 0.15rem 0.75rem 0.15rem 1.4rem;
      }
      /* Hazard tape as on the pins: framed while armed, full while active. */
      .line::before { content: ''; position: absolute; left: 0; top: 1px; bottom: 1px; width: 0.7rem; border: 1.5px solid var(--tape); }
      .line.active::before { border: 0; background: repeating-linear-gradient(-45deg, var(--tape) 0 6px, var(--on-tape) 6px 11px); }
      .which { flex: 1 1 auto; min-width: 0; background: none; border: 0; padding: 0; min-height: 2rem; text-align: left; overflow: hidden; text-overflow: ellipsis; white-space: nowrap; }
      .which b { font-weight: 600; } .which:hover b { text-decoration: underline; text-underline-offset: 3px; }
      .which:focus-visible { outline-offset: -3px; }
      .which span { color: var(--ink2); margin-left: 0.5rem; }
      .key { flex: none; min-height: 1.75rem; padding: 0.05rem 0.7rem; }
      @media (pointer: coarse) { .which, .key { min-height: 44px; } }
      @media (forced-colors: active) { .line::before { border-color: CanvasText; } }
      @media print { :host { display: none; } }
    `,
  ];
  static override properties = { session: { attribute: false }, faults: { attribute: false } };
  declare session: Session | undefined;
  /** Those that are armed or active. */ declare faults: readonly LiveFault[];

  constructor() {
    super();
    this.session = undefined;
    this.faults = [];
  }

  override render() {
    const { faults } = this;
    if (faults.length === 0) return nothing;
    const active = faults.some(({ state }) => state === 'active');
    const which = faults.map((fault) => `${faultName(fault)}${fault.words ? ` (${fault.words})` : ''}`).join('; ');
    return html`<div class="line ${active ? 'active' : ''}" role="group" aria-label=${WORDS.line}>
      <button class="which" title=${which} @click=${this.ask}><b>${capital(faultCount(faults))}</b><span>${which}</span></button>
      <button class="key" @click=${this.clearAll}>${WORDS.clearAll}</button></div>`;
  }

  private readonly ask = (): void => {
    this.dispatchEvent(new CustomEvent('panel', { detail: 'faults' }));
  };

  private readonly clearAll = (): void => {
    if (this.session) void clearFaults(this.session);
  };
}

customElements.define('fault-line', FaultLine);
declare global {
  interface HTMLElementTagNameMap {
    'fault-line': FaultLine;
  }
}
