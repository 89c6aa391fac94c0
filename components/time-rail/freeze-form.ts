import { css, html, LitElement, nothing } from 'lit';
import { SIGNALS } from '../../src/signals.ts';
import { fromDisplay, toDisplay, unitSymbol } from '../../src/units/convert.ts';
import type { BenchInfo, Channel, FreezeEvent, FreezeWhen } from '../../worker/api.ts';
import { shared } from '../style/shared.ts';
import { channelFacts } from './freeze-text.ts';
import { rowStyles } from './row.styles.ts';
import { EVENTS, KINDS, RAIL_WORDS as WORDS } from './words.ts';

/** Pre-histories on offer [s]. */
const PRES_S = [0.001, 0.01, 0.1, 1, 5];

/**
 * Asks for the condition on which time shall stand still.
 *
 * @fires set - detail: FreezeWhen, or undefined to take it away
 * @fires close
 */
export class FreezeForm extends LitElement {
  static override styles = [shared, rowStyles, css`input { width: 6rem; } select { max-width: 15rem; }`];
  static override properties = {
    info: { attribute: false },
    current: { attribute: false },
    kind: { state: true },
    channel: { state: true },
    problem: { state: true },
  };
  declare info: BenchInfo | undefined;
  /** The condition that waits. */ declare current: FreezeWhen | undefined;
  declare private kind: FreezeWhen['kind'];
  declare private channel: Channel;
  declare private problem: string;

  constructor() {
    super();
    this.kind = 'rises through';
    this.channel = 'chuckSpeed';
    this.problem = '';
  }

  /** Takes the focus. */
  enter(): void {
    this.renderRoot.querySelector('select')?.focus();
  }

  /** Says why the condition was not taken. */
  refuse(words: string): void {
    this.problem = words;
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (!changed.has('current') || !this.current) return;
    this.kind = this.current.kind;
    this.channel = this.current.channel ?? this.channel;
  }

  override render() {
    const { info, kind, channel, current } = this;
    const { unit } = channelFacts(channel, info ?? { watch: [] });
    const shown = (si: number | undefined) =>
      si === undefined ? '0' : String(Number(toDisplay(si, unit).toPrecision(6)));
    return html`
      <form @submit=${this.submit}>
        <label>${WORDS.how}
          <select name="kind" @change=${(e: Event) => {
            this.kind = (e.target as HTMLSelectElement).value as FreezeWhen['kind'];
          }}>
            ${Object.entries(KINDS).map(([id, name]) => html`<option value=${id} ?selected=${id === kind}>${name}</option>`)}
          </select>
        </label>
        ${kind === 'event' ? this.events() : this.signals()}
        ${
          kind === 'event'
            ? nothing
            : html`<label>${WORDS.level} <input name="level" inputmode="text" autocomplete="off" .value=${shown(current?.level)} /> ${unitSymbol(unit)}</label>`
        }
        ${
          kind === 'between'
            ? html`<label>${WORDS.upper} <input name="upper" inputmode="text" autocomplete="off" .value=${shown(current?.upper)} /> ${unitSymbol(unit)}</label>`
            : nothing
        }
        <label>${WORDS.pre}
          <select name="pre">${PRES_S.map((pre_s) => html`<option value=${pre_s} ?selected=${pre_s === (current?.pre_s ?? 0.1)}>${pre_s < 1 ? `${pre_s * 1000} ms` : `${pre_s} s`}</option>`)}</select>
        </label>
        <button class="key">${WORDS.set}</button>
        <button type="button" class="key" ?disabled=${!current} @click=${() => this.tell(undefined)}>${WORDS.clear}</button>
        <span class="problem" role="alert">${this.problem}</span>
        <button type="button" class="key close" @click=${() => this.dispatchEvent(new Event('close'))}>${WORDS.close}</button>
      </form>
    `;
  }

  private signals() {
    const watch = this.info?.watch ?? [];
    const option = (id: Channel, name: string) =>
      html`<option value=${id} ?selected=${id === this.channel}>${name}</option>`;
    return html`
      <label>${WORDS.signal}
        <select name="channel" @change=${(e: Event) => {
          this.channel = (e.target as HTMLSelectElement).value as Channel;
        }}>
          ${SIGNALS.filter(({ id }) => id !== 'time').map(({ id, doc }) => option(id, doc))}
          ${watch.map(({ name }, k) => option(`watch ${k}`, WORDS.watch(name)))}
        </select>
      </label>
    `;
  }

  private events() {
    return html`<label>${WORDS.event}
      <select name="event">${Object.entries(EVENTS).map(([id, name]) => html`<option value=${id} ?selected=${id === this.current?.event}>${name}</option>`)}</select>
    </label>`;
  }

  private readonly submit = (e: Event): void => {
    e.preventDefault();
    const { kind, channel } = this;
    const pre_s = Number(this.value('pre'));
    if (kind === 'event') {
      this.tell({ kind, event: this.value('event') as FreezeEvent, pre_s });
      return;
    }
    const { unit } = channelFacts(channel, this.info ?? { watch: [] });
    const level = numberOf(this.value('level'));
    const upper = kind === 'between' ? numberOf(this.value('upper')) : 0;
    if (!Number.isFinite(level) || !Number.isFinite(upper)) {
      this.problem = WORDS.number;
      return;
    }
    const window = kind === 'between' ? { upper: fromDisplay(upper, unit) } : {};
    this.tell({ kind, channel, level: fromDisplay(level, unit), ...window, pre_s });
  };

  private value(name: string): string {
    return this.renderRoot.querySelector<HTMLInputElement | HTMLSelectElement>(`[name=${name}]`)?.value ?? '';
  }

  private tell(detail: FreezeWhen | undefined): void {
    this.problem = '';
    this.dispatchEvent(new CustomEvent('set', { detail }));
  }
}

/** Minus as it is printed counts as one too; nothing is no number. */
function numberOf(text: string): number {
  const plain = text.trim().replace(',', '.').replace('\u2212', '-');
  return plain === '' ? Number.NaN : Number(plain);
}

customElements.define('freeze-form', FreezeForm);
declare global {
  interface HTMLElementTagNameMap {
    'freeze-form': FreezeForm;
  }
}
