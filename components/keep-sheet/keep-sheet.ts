import { css, html, LitElement } from 'lit';
import { setUpFragment } from '../../worker/set-up-link.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { sheetFrame } from '../style/sheet.ts';
import './recording-desk.ts';
import { takeSetUp } from './set-up.ts';
import { KEEP_WORDS as WORDS } from './words.ts';

/**
 * What can be taken along: the set-up as a link, the run as a recording.
 *
 * @fires close - the person is done with it
 */
export class KeepSheet extends LitElement {
  static override styles = [
    shared,
    sheetFrame,
    css`
      header { padding: 0.6rem 0.75rem; }
      header span { color: var(--ink2); line-height: 1.3; }
      .side { padding: 0.75rem; }
      section { max-width: 62rem; margin-bottom: 1.4rem; }
      h3 { font: 600 1rem/1.2 var(--text); margin: 0 0 0.3rem; }
      p { margin: 0 0 0.6rem; max-width: 46rem; line-height: 1.35; color: var(--ink2); }
      .line { display: flex; flex-wrap: wrap; gap: 0.5rem; align-items: center; }
      input { min-height: 2.15rem; border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); padding: 0.1rem 0.4rem; flex: 1 1 16rem; min-width: 0; max-width: 40rem; }
      @media (pointer: coarse) { input { min-height: 44px; } }
    `,
  ];
  static override properties = {
    session: { attribute: false },
    address: { state: true },
    said: { state: true },
  };
  declare session: Session;
  declare private address: string;
  declare private said: string;

  constructor() {
    super();
    this.address = '';
    this.said = '';
  }

  /** Takes the focus: the link. */
  async enter(): Promise<void> {
    this.renew();
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLButtonElement>('.copy')?.focus();
  }

  override render() {
    return html`
      <header><h2>${WORDS.title}</h2><span>${WORDS.does}</span><button class="key close" @click=${() => this.dispatchEvent(new Event('close'))}>${WORDS.close}</button></header>
      <div class="side" tabindex="0">
        <section aria-labelledby="link">
          <h3 id="link">${WORDS.link}</h3>
          <p>${WORDS.linkDoes}${this.session.info.board ? ` ${WORDS.boardLeftOut}` : ''}</p>
          <div class="line">
            <button class="key copy" @click=${this.copy}>${WORDS.copy}</button>
            <input readonly aria-label=${WORDS.address} .value=${this.address} @focus=${(e: Event) => (e.target as HTMLInputElement).select()} />
          </div>
          <p role="status">${this.said}</p>
        </section>
        <recording-desk .session=${this.session}></recording-desk>
      </div>
    `;
  }

  private renew(): void {
    try {
      this.address = new URL(setUpFragment(takeSetUp(this.session)), location.href).href;
      this.said = '';
    } catch (error) {
      this.address = '';
      this.said = (error as Error).message;
    }
  }

  private readonly copy = async (): Promise<void> => {
    this.renew();
    if (this.address === '') return;
    try {
      await navigator.clipboard.writeText(this.address);
      this.said = WORDS.copied;
    } catch {
      this.said = WORDS.notCopied;
      await this.updateComplete;
      this.renderRoot.querySelector('input')?.focus();
    }
  };
}

customElements.define('keep-sheet', KeepSheet);
declare global {
  interface HTMLElementTagNameMap {
    'keep-sheet': KeepSheet;
  }
}
