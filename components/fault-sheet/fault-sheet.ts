import { html, LitElement, nothing, type PropertyValues } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import type { SignalId } from '../../src/signals.ts';
import type { FaultRow } from '../../worker/api.ts';
import { faultPin, faultPinStyles, oncePerPress, PinFocus } from '../ahead-list/fault-pin.ts';
import { CAUTION, capital } from '../controller-sheet/words.ts';
import { partOf } from '../drill-view/parts.ts';
import { WORDS as DRILL_WORDS } from '../drill-view/words.ts';
import { armFault, asksTwice, clearFaults, faultCount, faultRows, liveFaults } from '../session/faults.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { sheetFrame } from '../style/sheet.ts';
import { askOf, type Draft, freshDraft } from './draft.ts';
import { faultSheetStyles } from './fault-sheet.styles.ts';
import { fields } from './fields.ts';
import { byPart, findFaults } from './search.ts';
import { WORDS } from './words.ts';

/**
 * Everything that can fail: searched, read about, armed; then fired. It lies over Record, so that drill and pins stay in sight.
 *
 * `subject` is a part of the drill, whose faults are shown first.
 *
 * @fires close - the person is done with it
 * @fires show-signals - detail: ids of the signals in which the fault is seen
 */
export class FaultSheet extends LitElement {
  static override styles = [shared, sheetFrame, faultPinStyles, faultSheetStyles];
  static override properties = {
    session: { attribute: false },
    subject: { attribute: false },
    rows: { state: true },
    query: { state: true },
    chosen: { state: true },
    draft: { state: true },
    refusal: { state: true },
    asking: { state: true },
  };
  declare session: Session;
  declare subject: unknown;
  declare private rows: readonly FaultRow[];
  declare private query: string;
  declare private chosen: FaultRow | undefined;
  declare private draft: Draft | undefined;
  /** Why the last act was refused. */ declare private refusal: string;
  /** The first of two questions has been answered. */ declare private asking: boolean;
  /** The fault whose first button takes the focus as soon as it is there. */ private next: number | undefined;

  private readonly focused = new PinFocus();
  /** How the faults stood when they were shown last. */ private standing = '';

  constructor() {
    super();
    this.rows = [];
    this.query = '';
    this.refusal = '';
    this.asking = false;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.session.addEventListener('news', this.heard);
    this.session.addEventListener('driver', this.another);
    this.addEventListener('keydown', oncePerPress);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.session.removeEventListener('news', this.heard);
    this.session.removeEventListener('driver', this.another);
    this.removeEventListener('keydown', oncePerPress);
  }

  /** Takes the focus: the search. */
  async enter(): Promise<void> {
    this.rows = await faultRows(this.session);
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLInputElement>('#query')?.focus();
  }

  override render() {
    const faults = liveFaults(this.session);
    const part = this.partShown();
    const from = part ? this.rows.filter((row) => partOf({ fault: row.id, place: row.place }) === part.id) : this.rows;
    const hits = findFaults(from, this.query);
    return html`
      <header>
        <h2>${WORDS.title}${part ? html`: ${part.name.toLowerCase()}` : nothing}</h2>${
          faults.length > 0
            ? html`<span class="standing">${capital(faultCount(faults))}</span><button class="key" @click=${this.clearAll}>${WORDS.clearAll}</button>`
            : html`<span class="dim">${WORDS.lead}</span>`
        }
        ${part ? html`<button class="key" @click=${this.showAll}>${WORDS.all}</button>` : nothing}
        <button class="key close" @click=${() => this.dispatchEvent(new CustomEvent('close'))}>${WORDS.close} <kbd aria-hidden="true">${WORDS.closeKey}</kbd></button>
      </header>
      <div class="both">
        <section class="list" aria-label=${WORDS.list}>
          <div class="find">
            <label for="query">${WORDS.search}</label>
            <input id="query" type="search" autocomplete="off" spellcheck="false" .value=${this.query} @input=${this.typed} @keydown=${this.fromQuery} />
            <span class="count" role="status">${this.rows.length > 0 ? WORDS.found(hits.length, from.length) : nothing}</span>
          </div>
          <div class="hits" @keydown=${this.inHits}>
            ${hits.length === 0 && this.rows.length > 0 ? html`<p class="none">${WORDS.noneFound}</p>` : nothing}
            ${byPart(hits).map(([text, rows]) => html`<h3>${capital(text)}</h3>${rows.map((row) => this.hit(row, hits))}`)}
          </div>
        </section>
        <section class="side" tabindex="0" aria-label=${WORDS.detail}>
          ${this.chosen && this.draft ? this.detail(this.chosen, this.draft) : html`<p class="dim">${WORDS.choose}</p>`}
          <div class="live">
            <h4>${faults.length > 0 ? WORDS.armed : WORDS.noneArmed}</h4>
            ${repeat(
              faults,
              ({ handle }) => handle,
              (fault) => html`<div class="fault ${fault.state}">${faultPin(this.session, fault, this.hooks)}</div>`,
            )}
          </div>
        </section>
      </div>
    `;
  }

  protected override willUpdate(changed: PropertyValues): void {
    if (changed.has('subject')) this.query = '';
    this.focused.before(this.shadowRoot);
  }

  protected override updated(): void {
    this.focused.after(this.shadowRoot, '.arm, #query');
    if (this.next === undefined) return;
    const button = this.renderRoot.querySelector<HTMLButtonElement>(`[data-handle='${this.next}']`);
    if (!button) return;
    this.next = undefined;
    button.focus();
  }

  /** The part whose faults are shown alone. */
  private partShown(): { id: string; name: string } | undefined {
    const names: Readonly<Record<string, string>> = DRILL_WORDS.partNames;
    return typeof this.subject === 'string' && this.subject in names
      ? { id: this.subject, name: names[this.subject] }
      : undefined;
  }

  /** One stop for Tab in the whole list: the chosen one, else the first. */
  private hit(row: FaultRow, hits: readonly FaultRow[]) {
    const stop = hits.includes(this.chosen as FaultRow) ? this.chosen : hits[0];
    return html`<button class="hit" aria-pressed=${row === this.chosen} tabindex=${row === stop ? 0 : -1}
      @click=${() => this.choose(row)}>${capital(row.name)}</button>`;
  }

  private detail(row: FaultRow, draft: Draft) {
    const signals = row.signals[draft.leg];
    return html`
      <h3>${capital(row.name)}</h3>
      <p class="dim">${row.id}. ${capital(row.placeText)}. ${WORDS.serves(row.needs.join(', '))}</p>
      <p>${row.does}</p>
      <div class="sight">
        <h4>${WORDS.look}</h4>
        <p>${capital(row.sight)}.</p>
        <p class="dim">${WORDS.lookSource(row.source)}</p>
        <button class="key" @click=${() => this.show(signals)}>${WORDS.showSignals}</button>
      </div>
      <div class="fields">${fields(row, draft, (change) => this.change(change))}</div>
      <p class="refusal" role="alert">${this.refusal}</p>
      ${this.arming()}
    `;
  }

  /** A real board asks twice. */
  private arming() {
    if (!asksTwice(this.session)) {
      return html`<div class="row do"><button class="key firm arm" @click=${() => this.arm(false)}>${WORDS.arm}</button></div>`;
    }
    const caution = html`<div class="caution"><p>${CAUTION}</p>${this.asking ? html`<p><b>${WORDS.ask}</b></p>` : nothing}</div>`;
    if (!this.asking) {
      return html`${caution}<div class="row do"><button class="key firm arm" @click=${this.ask}>${WORDS.arm}</button></div>`;
    }
    return html`${caution}<div class="row do"><button class="key firm yes" @click=${() => this.arm(true)}>${WORDS.armAgain}</button><button class="key" @click=${this.notYet}>${WORDS.notYet}</button></div>`;
  }

  private readonly ask = async (): Promise<void> => {
    this.asking = true;
    await this.focusOn('.yes');
  };

  private readonly notYet = async (): Promise<void> => {
    this.asking = false;
    await this.focusOn('.arm');
  };

  private async arm(sure: boolean): Promise<void> {
    const { chosen, draft } = this;
    if (!chosen || !draft) return;
    this.asking = false;
    this.refusal = '';
    try {
      this.next = await armFault(this.session, askOf(chosen, draft), sure);
      this.requestUpdate();
    } catch (error) {
      this.refusal = `${capital((error as Error).message)}.`.replace(/\.\.$/, '.');
      if (sure) await this.focusOn('.arm');
    }
  }

  private readonly hooks = {
    refused: (words: string) => {
      this.refusal = words && `${capital(words)}.`;
    },
  };

  private readonly clearAll = async (): Promise<void> => {
    await clearFaults(this.session);
    await this.focusOn('.arm, #query');
  };

  private async focusOn(selector: string): Promise<void> {
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLElement>(selector)?.focus();
  }

  private choose(row: FaultRow): void {
    if (row === this.chosen) return;
    this.chosen = row;
    this.draft = freshDraft(row);
    this.refusal = '';
    this.asking = false;
  }

  private change(change: Partial<Draft>): void {
    if (this.draft) this.draft = { ...this.draft, ...change };
    this.refusal = '';
    this.asking = false;
  }

  private show(signals: readonly SignalId[]): void {
    this.dispatchEvent(new CustomEvent('show-signals', { detail: signals, bubbles: true, composed: true }));
  }

  /** Another controller drives: it may be a real board. */
  private readonly another = (): void => {
    this.asking = false;
    this.refusal = '';
    this.requestUpdate();
  };

  private readonly heard = (): void => {
    const standing = JSON.stringify(liveFaults(this.session));
    if (standing !== this.standing) this.requestUpdate();
    this.standing = standing;
  };

  private readonly showAll = async (): Promise<void> => {
    this.subject = undefined;
    await this.focusOn('#query');
  };

  private readonly typed = (e: Event): void => {
    this.query = (e.target as HTMLInputElement).value;
  };

  private get hitButtons(): HTMLButtonElement[] {
    return [...this.renderRoot.querySelectorAll<HTMLButtonElement>('.hit')];
  }

  /** From the search: down goes into the list, Enter takes the first hit and goes on to arming it. */
  private readonly fromQuery = async (e: KeyboardEvent): Promise<void> => {
    if (e.key !== 'ArrowDown' && e.key !== 'Enter') return;
    e.preventDefault();
    const [first] = this.hitButtons;
    if (!first) return;
    first.click();
    if (e.key === 'Enter') await this.focusOn('.arm');
    else first.focus();
  };

  /** Up and down walk through the list and choose; Enter goes on to arming. */
  private readonly inHits = (e: KeyboardEvent): void => {
    const buttons = this.hitButtons;
    const at = buttons.indexOf(e.target as HTMLButtonElement);
    if (at < 0) return;
    if (e.key === 'Enter') {
      e.preventDefault();
      buttons[at].click();
      void this.focusOn('.arm');
      return;
    }
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: buttons.length - 1 }[e.key];
    if (to === undefined) return;
    e.preventDefault();
    if (to < 0) this.renderRoot.querySelector<HTMLInputElement>('#query')?.focus();
    const button = buttons[to];
    button?.click();
    button?.focus();
  };
}

customElements.define('fault-sheet', FaultSheet);
declare global {
  interface HTMLElementTagNameMap {
    'fault-sheet': FaultSheet;
  }
}
