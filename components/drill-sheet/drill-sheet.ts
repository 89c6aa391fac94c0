import { html, LitElement, nothing } from 'lit';
import { unitSymbol } from '../../src/units/convert.ts';
import type { DrillSheet } from '../../worker/api.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { sheetFrame } from '../style/sheet.ts';
import { drillSheetStyles } from './drill-sheet.styles.ts';
import { WORDS } from './words.ts';

type Section = DrillSheet['sections'][number];
type ParameterGroup = DrillSheet['groups'][number];

/** Digits of what was computed, and of what was given. */
const FIGURE_DIGITS = 4;
const PARAMETER_DIGITS = 6;

/**
 * The drills by their data: on the left what follows from the parameters, on the right each parameter with its source.
 * It leaves head and hands of the page free, so that Stop stays at hand.
 *
 * @fires close - the person is done with it
 */
export class SheetPanel extends LitElement {
  static override styles = [shared, sheetFrame, drillSheetStyles];
  static override properties = {
    session: { attribute: false },
    sheets: { state: true },
    chosen: { state: true },
  };
  declare session: Session | undefined;
  declare private sheets: readonly DrillSheet[];
  declare private chosen: string;

  constructor() {
    super();
    this.sheets = [];
    this.session = undefined;
    this.chosen = '';
  }

  /** Takes the focus: the button of the drill that is shown. */
  async enter(): Promise<void> {
    this.sheets = (await this.session?.api.sheets()) ?? [];
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLButtonElement>("[aria-pressed='true']")?.focus();
  }

  override render() {
    const driven = this.session?.info.drill ?? '';
    const sheet = this.sheets.find(({ name }) => name === (this.chosen || driven)) ?? this.sheets[0];
    if (!sheet) return nothing;
    return html`
      <header>
        <h2>${WORDS.title}</h2>
        <div class="group">${this.sheets.map(
          ({ name }) =>
            html`<button class="key" aria-pressed=${name === sheet.name} @click=${() => this.choose(name)}>${name}</button>`,
        )}</div>
        <span class="driven">${WORDS.onBench(driven)}</span>
        <button class="key close" @click=${() => this.dispatchEvent(new CustomEvent('close'))}>${WORDS.close} <kbd aria-hidden="true">${WORDS.closeKey}</kbd></button>
      </header>
      <div class="both">
        <section class="side" tabindex="0" aria-label=${WORDS.follows}>
          <p class="lead"><b>${sheet.title}</b><span>${sheet.conditions}</span></p>
          ${sheet.sections.map(figures)}
        </section>
        <section class="side" tabindex="0" aria-label=${WORDS.sources}>
          <p class="lead"><b>${WORDS.parameters}</b><span>${WORDS.parametersDo}</span></p>
          ${sheet.groups.map(parameters)}
        </section>
      </div>
    `;
  }

  private choose(name: string): void {
    this.chosen = name;
    for (const side of this.renderRoot.querySelectorAll('.side, .both')) side.scrollTop = 0;
  }
}

function figures({ title, figures: rows }: Section) {
  return html`<table><caption>${title}</caption><tbody>${rows.map(
    ({ what, shown, shownUnit }) =>
      html`<tr><th scope="row">${what}</th><td class="number">${readable(shown, FIGURE_DIGITS)}</td><td class="unit">${unitSymbol(shownUnit)}</td></tr>`,
  )}</tbody></table>`;
}

function parameters({ name, title, rows }: ParameterGroup) {
  return html`<table class="wide"><caption>${title}<code>${name}</code></caption><tbody>${rows.map(parameter)}</tbody></table>`;
}

function parameter({ key, value, unit, doc, source }: ParameterGroup['rows'][number]) {
  const values = typeof value === 'number' ? [] : value;
  const list = values.map((v, k) => html`${k > 0 ? ', ' : ''}${readable(v, PARAMETER_DIGITS)}`);
  const number = typeof value === 'number' ? readable(value, PARAMETER_DIGITS) : WORDS.values(values.length);
  return html`<tr>
    <th scope="row">${doc}${values.length > 0 ? html`<span class="list">${list}</span>` : nothing}</th>
    <td class="name">${key}</td><td class="number">${number}</td><td class="unit">${unitSymbol(unit)}</td><td class="from">${source}</td>
  </tr>`;
}

/** A number as short as its digits allow, whole digits kept; a power of ten where there would be many zeros. */
function readable(value: number, digits: number) {
  const size = Math.abs(value);
  if (size !== 0 && (size < 1e-3 || size >= 1e6)) {
    const [mantissa, power] = value.toExponential(digits - 1).split('e');
    return html`${signed(Number(mantissa))}\u202f·\u202f10<sup>${signed(Number(power))}</sup>`;
  }
  return signed(size >= 10 ** digits ? Math.round(value) : Number(value.toPrecision(digits)));
}

const signed = (value: number): string => String(value).replace('-', '\u2212');

customElements.define('drill-sheet', SheetPanel);
declare global {
  interface HTMLElementTagNameMap {
    'drill-sheet': SheetPanel;
  }
}
