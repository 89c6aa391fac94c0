import { css, html, LitElement } from 'lit';
import type { Mark } from '../../worker/api.ts';
import { shared } from '../style/shared.ts';
import { momentText } from './moment.ts';
import { rowStyles } from './row.styles.ts';
import { RAIL_WORDS as WORDS } from './words.ts';

/** Marks on offer, the latest ones. */
const OFFERED = 30;

/**
 * Asks for the moment to go back to: a number, or a mark.
 *
 * @fires rewind - detail: moment [s]
 * @fires close
 */
export class RewindForm extends LitElement {
  static override styles = [shared, rowStyles, css`input { width: 8.5rem; } select { max-width: 22rem; }`];
  static override properties = {
    earliest_s: { type: Number },
    end_s: { type: Number },
    marks: { attribute: false },
    problem: { state: true },
  };
  declare earliest_s: number;
  declare end_s: number;
  declare marks: readonly Mark[];
  declare private problem: string;

  constructor() {
    super();
    this.earliest_s = 0;
    this.end_s = 0;
    this.marks = [];
    this.problem = '';
  }

  /** Takes the focus. */
  enter(): void {
    const field = this.field;
    field?.focus();
    field?.select();
  }

  /** Says why the last attempt came to nothing. */
  refuse(words: string): void {
    this.problem = words;
  }

  override render() {
    const marks = this.marks.slice(-OFFERED).reverse();
    return html`
      <form @submit=${this.submit}>
        <label>${WORDS.moment} <input inputmode="decimal" autocomplete="off" .value=${momentText(this.end_s)} aria-describedby="range" /> ${WORDS.seconds}</label>
        <button class="key">${WORDS.go}</button>
        <label>${WORDS.marks}
          <select @change=${this.choose} ?disabled=${marks.length === 0}>
            <option value="">${marks.length === 0 ? WORDS.noMarks : WORDS.chooseMark}</option>
            ${marks.map(({ at_s, words }) => html`<option value=${at_s}>${momentText(at_s)} s: ${words}</option>`)}
          </select>
        </label>
        <span class="dim" id="range">${WORDS.earliest(momentText(this.earliest_s), momentText(this.end_s))}</span>
        <span class="problem" role="alert">${this.problem}</span>
        <button type="button" class="key close" @click=${() => this.dispatchEvent(new Event('close'))}>${WORDS.close}</button>
      </form>
    `;
  }

  protected override shouldUpdate(changed: Map<string, unknown>): boolean {
    // What a person types is left alone while the run goes on.
    if (this.hasUpdated && [...changed.keys()].every((key) => key === 'end_s' || key === 'earliest_s')) {
      return !this.matches(':focus-within');
    }
    return true;
  }

  private get field(): HTMLInputElement | null {
    return this.renderRoot.querySelector('input');
  }

  private readonly submit = (e: Event): void => {
    e.preventDefault();
    const text = (this.field?.value ?? '').replace(',', '.').replace(/\s/g, '');
    const to_s = Number(text);
    if (text === '' || !Number.isFinite(to_s) || to_s < 0) this.problem = WORDS.number;
    else this.go(to_s);
  };

  private readonly choose = (e: Event): void => {
    const { value } = e.target as HTMLSelectElement;
    if (value !== '') this.go(Number(value));
  };

  private go(to_s: number): void {
    this.problem = '';
    this.dispatchEvent(new CustomEvent('rewind', { detail: to_s }));
  }
}

customElements.define('rewind-form', RewindForm);
declare global {
  interface HTMLElementTagNameMap {
    'rewind-form': RewindForm;
  }
}
