import { css, html, LitElement, nothing } from 'lit';
import { unitSymbol } from '../../src/units/convert.ts';
import type { Differences, DrillSheet, GhostAsk, PastNews } from '../../worker/api.ts';
import { builtInName } from '../controller-sheet/words.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { sheetFrame } from '../style/sheet.ts';
import { compareTable } from './compare-table.ts';
import { COMPARED, COMPARE_WORDS as WORDS } from './words.ts';

/**
 * Two controllers or two sets of numbers on the same deeds: goes through the run again, and shows the table of differences.
 *
 * @fires close - the person is done with it
 */
export class CompareSheet extends LitElement {
  static override styles = [
    shared,
    sheetFrame,
    css`
      header { padding: 0.6rem 0.75rem; }
      header span { color: var(--ink2); max-width: 60rem; line-height: 1.3; }
      .side { padding: 0.75rem; }
      form { display: flex; flex-wrap: wrap; gap: 0.5rem 1rem; align-items: end; }
      label { display: grid; gap: 0.2rem; }
      input, select { min-height: 2.15rem; border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); padding: 0.1rem 0.4rem; max-width: 24rem; min-width: 0; }
      input { width: 9rem; }
      .state { display: flex; flex-wrap: wrap; gap: 0.4rem 1rem; align-items: center; min-height: 2.6rem; margin: 0.6rem 0; }
      .problem { color: var(--fail); }
      progress { width: 14rem; accent-color: var(--ink); }
      table { max-width: 62rem; }
      caption small { font-weight: 400; font-size: 0.92rem; color: var(--ink2); padding-left: 0.7rem; }
      thead th { color: var(--ink2); }
      tbody tr:first-child > * { border-top: 1px solid var(--edge); }
      tbody tr + tr > * { border-top-color: transparent; }
      th[scope='rowgroup'] { font-weight: 600; max-width: 20rem; vertical-align: top; }
      .number { font-weight: 400; }
      @media (max-width: 640px) { .side { overflow-x: auto; padding: 0.6rem; } th, td { padding-right: 0.3rem; } th[scope='rowgroup'] { width: 5.6rem; overflow-wrap: anywhere; } }
      @media (pointer: coarse) { input, select { min-height: 44px; } }
    `,
  ];
  static override properties = {
    session: { attribute: false },
    past: { state: true },
    controllers: { state: true },
    sheets: { state: true },
    drill: { state: true },
    key: { state: true },
    problem: { state: true },
    table: { state: true },
  };
  declare session: Session;
  declare private past: PastNews | undefined;
  declare private controllers: readonly string[];
  declare private sheets: readonly DrillSheet[];
  /** Name of the drill that goes through it again. */ declare private drill: string;
  /** The number of the drill that is changed, '' for none. */ declare private key: string;
  declare private problem: string;
  declare private table: Differences | undefined;
  /** The ghost of the table. */ private measured = '';

  constructor() {
    super();
    this.controllers = [];
    this.sheets = [];
    this.drill = '';
    this.key = '';
    this.problem = '';
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.session.addEventListener('news', this.heard);
    this.heard();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.session.removeEventListener('news', this.heard);
  }

  /** Takes the focus: the choice of the controller. */
  async enter(): Promise<void> {
    const { api, info } = this.session;
    const [{ controllers }, sheets] = await Promise.all([api.catalog(), api.sheets()]);
    this.controllers = controllers;
    this.sheets = sheets;
    this.drill = info.drill;
    await this.updateComplete;
    this.renderRoot.querySelector('select')?.focus();
  }

  override render() {
    const ghost = this.past?.ghost;
    return html`
      <header><h2>${WORDS.title}</h2><span>${WORDS.does}</span><button class="key close" @click=${() => this.dispatchEvent(new Event('close'))}>${WORDS.close}</button></header>
      <div class="side" tabindex="0">
        <form @submit=${this.submit}>
          <label>${WORDS.controller}
            <select name="controller">
              <option value="">${WORDS.same}</option>
              ${this.controllers.map((name) => html`<option value=${name}>${builtInName(name)}</option>`)}
            </select>
          </label>
          <label>${WORDS.drill}
            <select name="drill" @change=${(e: Event) => {
              this.drill = (e.target as HTMLSelectElement).value;
            }}>
              ${this.sheets.map(({ name, title }) => html`<option value=${name} ?selected=${name === this.drill}>${name === this.session.info.drill ? WORDS.sameDrill(title) : title}</option>`)}
            </select>
          </label>
          <label>${WORDS.number}
            <select name="key" @change=${(e: Event) => {
              this.key = (e.target as HTMLSelectElement).value;
            }}>
              <option value="">${WORDS.none}</option>
              ${this.sheet?.groups.map(
                ({ name, title, rows }) =>
                  html`<optgroup label=${title}>${rows
                    .filter(({ value }) => typeof value === 'number')
                    .map((row) => html`<option value=${`${name}.${row.key}`}>${row.doc}</option>`)}</optgroup>`,
              )}
            </select>
          </label>
          ${this.valueField()}
          <button class="key" ?disabled=${this.busy}>${WORDS.start}</button>
        </form>
        <div class="state">
          ${this.stateLine()}
          <span class="problem" role="alert">${this.problem}</span>
        </div>
        ${ghost && this.table ? compareTable(this.table) : nothing}
      </div>
    `;
  }

  private get busy(): boolean {
    return (this.past?.ghost?.progress ?? 1) < 1;
  }

  private stateLine() {
    const ghost = this.past?.ghost;
    if (!ghost) return html`<span class="dim">${WORDS.noGhost}</span>`;
    const percent = Math.floor(ghost.progress * 100);
    const drop = () => this.session.api.dropGhost();
    if (ghost.progress < 1)
      return html`<progress max="100" value=${percent} aria-label=${WORDS.start}></progress><span>${WORDS.progress(percent)}</span>
        <button class="key" @click=${drop}>${WORDS.giveUp}</button>`;
    return html`<b>${WORDS.ghost(nameOf(ghost.title, this.sheets))}</b>${ghost.why ? html`<span>${ghost.why}</span>` : nothing}
      <button class="key" @click=${() => this.measure()}>${WORDS.renew}</button>
      <button class="key" @click=${drop}>${WORDS.away}</button>`;
  }

  /** Of the drill that is chosen. */
  private get sheet(): DrillSheet | undefined {
    return this.sheets.find(({ name }) => name === this.drill);
  }

  private valueField() {
    const row = this.rowOf(this.key);
    if (!row) return nothing;
    const unit = unitSymbol(row.unit);
    return html`<label>${unit === '' ? WORDS.value : `${WORDS.value}, ${unit}`}
      <input name="value" autocomplete="off" .value=${String(row.value)} /></label>`;
  }

  private rowOf(key: string) {
    const [group, item] = key.split('.');
    return this.sheet?.groups.find(({ name }) => name === group)?.rows.find((row) => row.key === item);
  }

  private readonly heard = (): void => {
    this.past = this.session.news?.past;
    const ghost = this.past?.ghost;
    if (!ghost || ghost.progress < 1) {
      if (!ghost) this.measured = '';
      return;
    }
    const which = `${ghost.title} ${ghost.held.to_s}`;
    if (which === this.measured) return;
    this.measured = which;
    void this.measure();
  };

  /** The whole span that is kept of both, or as much of its end as is kept period by period. */
  private async measure(): Promise<void> {
    const { past } = this;
    if (!past?.ghost) return;
    const to_s = Math.min(past.held.to_s, past.ghost.held.to_s);
    const from_s = Math.min(Math.max(past.finest_s, past.ghost.held.from_s), to_s);
    const found = await this.session.api.differences(COMPARED, from_s, to_s);
    if ('ok' in found) this.problem = found.why;
    else this.table = found;
  }

  private readonly submit = async (e: Event): Promise<void> => {
    e.preventDefault();
    this.problem = '';
    this.table = undefined;
    this.measured = '';
    const value = (name: string) =>
      this.renderRoot.querySelector<HTMLSelectElement | HTMLInputElement>(`[name=${name}]`)?.value ?? '';
    const controller = value('controller');
    const number = Number(value('value').trim().replace(',', '.').replace('\u2212', '-'));
    if (this.key !== '' && (value('value').trim() === '' || !Number.isFinite(number))) {
      this.problem = WORDS.badValue;
      return;
    }
    const ask: GhostAsk = {
      ...(controller === '' ? {} : { controller }),
      ...(this.drill === '' || this.drill === this.session.info.drill ? {} : { drill: this.drill }),
      ...(this.key === '' ? {} : { changes: [{ key: this.key, value: number }] }),
    };
    try {
      const done = await this.session.api.ghostOf(ask);
      if (!done.ok) this.problem = done.why;
    } catch (error) {
      this.problem = (error as Error).message;
    }
  };
}

/** What a ghost is called by people: its controller and drill by their names. */
function nameOf(title: string, sheets: readonly DrillSheet[]): string {
  return title
    .split(', ')
    .map((part) => sheets.find(({ name }) => name === part)?.title ?? builtInName(part))
    .join(', ');
}

customElements.define('compare-sheet', CompareSheet);
declare global {
  interface HTMLElementTagNameMap {
    'compare-sheet': CompareSheet;
  }
}
