import { html, LitElement, nothing } from 'lit';
import { Awake } from '../session/awake.ts';
import type { Session } from '../session/session.ts';
import { SHELL_WORDS as WORDS } from './words.ts';

/** Says that the browser had put the page to sleep, and what became of the drill. Stands over Record in the style of the page. */
export class SleepNotice extends LitElement {
  static override properties = { session: { attribute: false }, slept_s: { state: true } };
  declare session: Session | undefined;
  declare private slept_s: number | undefined;
  private awake: Awake | undefined;

  constructor() {
    super();
    this.session = undefined;
    this.slept_s = undefined;
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.awake?.end();
    this.awake = undefined;
  }

  protected override createRenderRoot(): HTMLElement {
    this.style.display = 'contents';
    return this; // notices have one style, that of the page
  }

  protected override willUpdate(): void {
    if (!this.session || this.awake) return;
    this.awake = new Awake(this.session, (slept_s) => {
      this.slept_s = slept_s;
    });
  }

  override render() {
    const { session, slept_s } = this;
    if (slept_s === undefined) return nothing;
    return html`<div class="notice" role="alert"><b>${WORDS.slept}</b><p>${WORDS.sleptFor(slept_s)}</p><p>${session?.info.board ? WORDS.sleptBoard : WORDS.sleptBuiltIn}</p>
      <button class="key" @click=${this.close}>${WORDS.goOn}</button></div>`;
  }

  private readonly close = (): void => {
    this.slept_s = undefined;
  };
}

customElements.define('sleep-notice', SleepNotice);
declare global {
  interface HTMLElementTagNameMap {
    'sleep-notice': SleepNotice;
  }
}
