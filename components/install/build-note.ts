import { css, html, LitElement, nothing } from 'lit';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { Builds } from './builds.ts';
import { INSTALL_WORDS as WORDS } from './words.ts';

/**
 * The page is kept once the opening is over and the drill stands, but after so long in any case [ms]: to fetch and compile every
 * file takes the machine, and half a second of the drill was lost to it (seen on two cores).
 */
const EARLIEST_MS = 4000;
const LATEST_MS = 20_000;
/** How often it is looked whether the drill stands [ms]. */
const LOOK_MS = 200;
/** Slower than a turn of the motor in ten minutes is standing [rad/s]. */
const STANDS_RAD_S = 0.01;

/** Says whether the page works offline and whether a newer version is ready; takes it when the drill stands. */
export class BuildNote extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: flex; flex-wrap: wrap; gap: 0.1rem 0.7rem; align-items: center; margin-left: auto; }
      b { color: var(--ink); font-weight: 600; }
      button { background: none; border: 0; border-bottom: 1px solid var(--edge); padding: 0; min-height: 24px; color: var(--ink); white-space: nowrap; }
      @media (pointer: coarse) { button { min-height: 44px; } }
    `,
  ];
  static override properties = { session: { attribute: false }, keeps: { attribute: false }, waits: { state: true } };
  declare session: Session | undefined;
  /** False behind a bridge: there the page is good for as long as the bridge is. */ declare keeps: boolean;
  /** The newer version was asked for. */ declare private waits: boolean;
  private readonly builds = new Builds();
  private begun = false;
  private timer: ReturnType<typeof setInterval> | undefined;

  constructor() {
    super();
    this.session = undefined;
    this.keeps = false;
    this.waits = false;
    this.builds.addEventListener('change', () => this.requestUpdate());
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearInterval(this.timer);
    this.builds.end();
  }

  protected override updated(): void {
    if (!this.session || !this.keeps || this.begun) return;
    this.begun = true;
    const from_ms = performance.now();
    this.timer = setInterval(() => {
      const gone_ms = performance.now() - from_ms;
      if (gone_ms < EARLIEST_MS || (this.works() && gone_ms < LATEST_MS)) return;
      clearInterval(this.timer);
      void this.builds.begin();
    }, LOOK_MS);
  }

  override render() {
    const { kept, trouble } = this.builds;
    return html`<span role="status">${trouble ? WORDS.notKept(trouble) : this.said(kept)}</span>
      ${
        kept !== 'newer' && kept !== 'elsewhere'
          ? nothing
          : this.waits
            ? html`<button @click=${this.leave}>${WORDS.notYet}</button>`
            : html`<button title=${WORDS.takeDoes} @click=${this.take}>${WORDS.take}</button>`
      }`;
  }

  private said(kept: Builds['kept']) {
    if (this.waits) return html`<b>${this.session?.recording ? WORDS.waitsRecording : WORDS.waits}</b>`;
    if (kept === 'newer') return html`<b>${WORDS.newer}</b>`;
    if (kept === 'elsewhere') return WORDS.elsewhere;
    return kept === 'offline' ? WORDS.offline : nothing;
  }

  private readonly take = (): void => {
    this.waits = true;
    this.timer = setInterval(this.look, LOOK_MS);
    this.look();
  };

  private readonly leave = (): void => {
    this.waits = false;
    clearInterval(this.timer);
  };

  private readonly look = (): void => {
    if (this.works()) return;
    clearInterval(this.timer);
    this.builds.take();
  };

  /** Somebody squeezes, the motor turns, or the run is recorded. */
  private works(): boolean {
    const { session } = this;
    if (!session) return false;
    const speed_rad_s = session.record.now[SIGNAL_INDEX.motorSpeed];
    return session.hands.trigger > 0 || Math.abs(speed_rad_s) > STANDS_RAD_S || Boolean(session.recording);
  }
}

customElements.define('build-note', BuildNote);
declare global {
  interface HTMLElementTagNameMap {
    'build-note': BuildNote;
  }
}
