import { css, html, LitElement } from 'lit';
import { shared } from '../style/shared.ts';

/** Paces on offer: virtual seconds per second of life. */
const PACES = [
  { value: 1, name: 'Life', say: 'life pace' },
  { value: 0.1, name: '1/10', say: 'a tenth of life' },
  { value: 0.01, name: '1/100', say: 'a hundredth of life' },
  { value: 0.001, name: '1/1000', say: 'a thousandth of life' },
] as const;

/**
 * Time itself: run, freeze, single PWM periods, pace.
 *
 * @fires run - time shall go on
 * @fires freeze - time shall stand
 * @fires step - detail: PWM periods to go forward while frozen
 * @fires pace - detail: virtual seconds per wall second
 */
export class TimeRail extends LitElement {
  static override styles = [
    shared,
    css`
      :host {
        display: flex; align-items: center; gap: 1.4rem; padding: 0.35rem 0.75rem; background: var(--ground);
        border-top: 1px solid var(--edge);
      }
      .lab { font-size: 0.92rem; color: var(--ink2); margin-right: 0.6rem; white-space: nowrap; }
      .set { display: flex; align-items: center; }
      .say { margin-left: auto; color: var(--ink2); font-size: 0.92rem; text-align: right; min-width: 0; }
      .key[disabled] { color: var(--ink2); border-style: dashed; cursor: default; }
      @media (max-width: 1100px) { .say { display: none; } }
      @media (max-width: 640px) { :host { flex-wrap: wrap; gap: 0.5rem; } .lab { display: none; } }
    `,
  ];
  static override properties = {
    running: { type: Boolean },
    pace: { type: Number },
    say: { attribute: false },
  };
  declare running: boolean;
  declare pace: number;
  /** One plain sentence about the time. */ declare say: string;

  constructor() {
    super();
    this.running = true;
    this.pace = 1;
    this.say = '';
  }

  override render() {
    return html`
      <div class="group" role="group" aria-label="Time">
        <button class="key" aria-pressed=${this.running} @click=${() => this.tell('run')}>Run</button>
        <button class="key" aria-pressed=${!this.running} @click=${() => this.tell('freeze')}>Freeze</button>
      </div>
      <div class="group" role="group" aria-label="Steps while frozen">
        <button class="key" ?disabled=${this.running} @click=${() => this.tell('step', 1)} title="One PWM period; key :">+ 50 µs</button>
        <button class="key" ?disabled=${this.running} @click=${() => this.tell('step', 20)} title="Twenty PWM periods">+ 1 ms</button>
      </div>
      <div class="set">
        <span class="lab" id="pace">Pace, share of life</span>
        <div class="group" role="group" aria-labelledby="pace">
          ${PACES.map((p) => html`<button class="key" aria-pressed=${this.pace === p.value} aria-label=${p.say} @click=${() => this.tell('pace', p.value)}>${p.name}</button>`)}
        </div>
      </div>
      <span class="say">${this.say}</span>
    `;
  }

  private tell(name: string, detail?: number): void {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }
}

customElements.define('time-rail', TimeRail);
declare global {
  interface HTMLElementTagNameMap {
    'time-rail': TimeRail;
  }
}
