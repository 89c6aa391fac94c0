import { css, html, LitElement, svg } from 'lit';
import type { Channel } from '../../worker/api.ts';
import { shared } from '../style/shared.ts';
import { type ChannelInfo, found, MOST_TRACES } from './channels.ts';
import { PARTS, type Part, WORDS } from './words.ts';

/**
 * Every signal by its part, to be searched and picked.
 *
 * @fires pick - detail: the channels that are picked now
 * @fires usual - the usual set is wanted
 * @fires close - on a small screen, where it lies over the waves
 */
export class SignalList extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: grid; grid-template-rows: auto auto minmax(0, 1fr); min-height: 0; min-width: 0; background: var(--paper); }
      .find { padding: 0.5rem 0.75rem 0.3rem; display: grid; gap: 0.4rem; }
      .find input { width: 100%; min-height: 2rem; background: var(--paper); border: 1.5px solid var(--edge); border-radius: 2px; padding: 0.1rem 0.45rem; }
      .find input::placeholder { color: var(--ink2); opacity: 1; }
      .count { display: flex; flex-wrap: wrap; gap: 0.3rem 0.8rem; align-items: center; padding: 0 0.75rem 0.4rem; color: var(--ink2); font-size: 0.92rem; border-bottom: 1px solid var(--rule); }
      .count button { background: none; border: 0; border-bottom: 1px solid var(--edge); padding: 0; min-height: 24px; color: var(--ink); }
      .count .shut { display: none; margin-left: auto; }
      .rows { overflow: auto; padding: 0 0 1rem; }
      h3 { font: 600 0.92rem/1.2 var(--text); color: var(--ink2); margin: 0; padding: 0.65rem 0.75rem 0.2rem; position: sticky; top: 0; background: var(--paper); z-index: 1; }
      label { display: grid; grid-template-columns: 1.5rem 2rem minmax(0, 1fr) auto; gap: 0.3rem; align-items: center; padding: 0.1rem 0.75rem; min-height: 24px; line-height: 1.25; cursor: pointer; }
      label.above { display: block; padding: 0; min-height: 0; }
      label:hover { background: var(--ground); }
      input[type='checkbox'] { width: 1.1rem; height: 1.1rem; margin: 0; accent-color: var(--ink); }
      label svg { width: 1.7rem; height: 0.8rem; }
      .unit { color: var(--ink2); font-size: 0.92rem; white-space: nowrap; }
      .doc { grid-column: 3 / -1; color: var(--ink2); font-size: 0.92rem; }
      .none { padding: 0.75rem; margin: 0; color: var(--ink2); }
      /* The hands of the page lie over the end of the list there. */
      @media (max-width: 640px) { .count .shut { display: block; } .rows { padding-bottom: 11rem; } }
      @media (pointer: coarse) { label { min-height: 44px; } .count button { min-height: 44px; } .find input { min-height: 44px; } }
    `,
  ];
  static override properties = {
    channels: { attribute: false },
    picked: { attribute: false },
    search: { state: true },
    current: { state: true },
  };
  declare channels: readonly ChannelInfo[];
  declare picked: readonly Channel[];
  declare private search: string;
  /** The one row that Tab reaches; arrows reach the others. */ declare private current: Channel | undefined;

  constructor() {
    super();
    this.channels = [];
    this.picked = [];
    this.search = '';
    this.current = undefined;
  }

  /** Takes the focus: the search. */
  enter(): void {
    this.renderRoot.querySelector('input')?.focus();
  }

  override render() {
    const rows = found(this.channels, this.search);
    const reached = rows.some(({ channel }) => channel === this.current) ? this.current : rows[0]?.channel;
    const full = this.picked.length >= MOST_TRACES;
    return html`
      <div class="find">
        <label for="search" class="above">${WORDS.search}</label>
        <input id="search" type="search" placeholder=${WORDS.searchHint} .value=${this.search} @input=${this.look} @keydown=${this.leaveSearch} />
      </div>
      <div class="count">
        <span>${full ? WORDS.full(MOST_TRACES) : WORDS.picked(this.picked.length, MOST_TRACES)}</span>
        <button @click=${() => this.dispatchEvent(new CustomEvent('usual'))}>${WORDS.usual}</button>
        <button @click=${() => this.tell([])}>${WORDS.clear}</button>
        <button class="shut" @click=${() => this.dispatchEvent(new CustomEvent('close'))}>${WORDS.close}</button>
      </div>
      <div class="rows" @keydown=${this.walk} @focusin=${this.reach}>
        ${(Object.keys(PARTS) as Part[]).map((part) => this.group(part, rows, reached, full))}
        ${rows.length === 0 ? html`<p class="none">${WORDS.noneFound}</p>` : ''}
      </div>
    `;
  }

  private group(part: Part, rows: readonly ChannelInfo[], reached: Channel | undefined, full: boolean) {
    const mine = rows.filter((row) => row.part === part);
    if (mine.length === 0) return '';
    return html`<div role="group" aria-labelledby=${part}>
      <h3 id=${part}>${PARTS[part]}</h3>
      ${mine.map((info) => {
        const on = this.picked.includes(info.channel);
        return html`<label title=${info.doc}>
          <input type="checkbox" value=${info.channel} .checked=${on} ?disabled=${full && !on} tabindex=${info.channel === reached ? 0 : -1} @change=${this.turn} />
          ${stroke(info)}<span>${info.name}</span><span class="unit">${info.unit}</span>
          ${this.search.trim() === '' ? '' : html`<span class="doc">${info.doc}</span>`}
        </label>`;
      })}
    </div>`;
  }

  private readonly look = (e: Event): void => {
    this.search = (e.target as HTMLInputElement).value;
  };

  private readonly turn = (e: Event): void => {
    const { value, checked } = e.target as HTMLInputElement;
    const channel = value as Channel;
    this.tell(checked ? [...this.picked, channel] : this.picked.filter((each) => each !== channel));
  };

  private readonly reach = (e: FocusEvent): void => {
    const { type, value } = e.target as HTMLInputElement;
    if (type === 'checkbox') this.current = value as Channel;
  };

  private readonly leaveSearch = (e: KeyboardEvent): void => {
    if (e.key !== 'ArrowDown') return;
    e.preventDefault();
    this.boxes()[0]?.focus();
  };

  private readonly walk = (e: KeyboardEvent): void => {
    const boxes = this.boxes();
    const at = boxes.indexOf(e.target as HTMLInputElement);
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: boxes.length - 1 }[e.key];
    if (to === undefined || at < 0) return;
    e.preventDefault();
    if (to < 0) this.enter();
    else boxes[Math.min(to, boxes.length - 1)]?.focus();
  };

  private boxes(): HTMLInputElement[] {
    return [...this.renderRoot.querySelectorAll<HTMLInputElement>('.rows input:not([disabled])')];
  }

  private tell(picked: readonly Channel[]): void {
    this.dispatchEvent(new CustomEvent('pick', { detail: picked }));
  }
}

/** A piece of the stroke that the signal is drawn with. */
export function stroke({ origin }: Pick<ChannelInfo, 'origin'>) {
  const line = {
    truth: svg`<path d="M0 5H34" stroke-width="2.4" />`,
    estimated: svg`<path d="M0 5H34" stroke-width="2.4" stroke-dasharray="9 5" />`,
    sensed: svg`<path d="M1 5H34" stroke-width="3.2" stroke-dasharray="3.2 4" />`,
    commanded: svg`<path d="M0 8H12V2H24V8H34" stroke-width="1.4" />`,
  }[origin];
  return html`<svg viewBox="0 0 34 10" role="img" aria-label=${WORDS.strokes[origin]} fill="none" stroke="currentColor">${line}</svg>`;
}

customElements.define('signal-list', SignalList);
declare global {
  interface HTMLElementTagNameMap {
    'signal-list': SignalList;
  }
}
