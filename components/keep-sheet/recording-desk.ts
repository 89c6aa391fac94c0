import { css, html, LitElement, nothing } from 'lit';
import type { RecordAsk } from '../../worker/api.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { bytes, count, length, roughly } from './amounts.ts';
import { rateChoices, type SignalChoice, signalChoices } from './choices.ts';
import './recording-list.ts';
import { Recordings } from './recordings.ts';
import { RECORDING_WORDS as WORDS } from './words.ts';

/** What the bench keeps at every tick, less a margin for what is overwritten meanwhile [s]. */
const PAST_S = 9;

/** Begins and ends recordings, says what they cost and how much room there is, and lists them. */
export class RecordingDesk extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: block; max-width: 62rem; }
      h3 { font: 600 1rem/1.2 var(--text); margin: 0 0 0.3rem; }
      p { margin: 0 0 0.6rem; max-width: 46rem; line-height: 1.35; color: var(--ink2); }
      .line { display: flex; flex-wrap: wrap; gap: 0.5rem 0.9rem; align-items: center; margin-bottom: 0.5rem; }
      label { display: inline-flex; gap: 0.4rem; align-items: center; }
      .key:disabled { border-style: dashed; color: var(--ink2); cursor: default; }
      recording-list { display: block; margin-top: 1.2rem; }
      select { min-height: 2.15rem; border: 1.5px solid var(--edge); border-radius: 2px; background: var(--paper); max-width: 100%; }
      .now { color: var(--ink); font-weight: 600; font-variant-numeric: tabular-nums; }
      .said { min-height: 1.35em; color: var(--ink); }
      /* Where there is room the list stands beside what fills it. */
      @media (min-width: 1200px) {
        :host { display: grid; grid-template-columns: minmax(0, 46rem) minmax(0, 1fr); gap: 0 3rem; max-width: 110rem; }
        recording-list { margin-top: 0; }
      }
      @media (pointer: coarse) { select { min-height: 44px; } }
    `,
  ];
  static override properties = {
    session: { attribute: false },
    signals: { state: true },
    every: { state: true },
    rowBytes: { state: true },
    busy: { state: true },
    said: { state: true },
  };
  declare session: Session;
  declare private signals: SignalChoice['id'];
  declare private every: number;
  /** Bytes of a row of the chosen signals, 0 while not known. */ declare private rowBytes: number;
  declare private busy: boolean;
  declare private said: string;
  private recordings: Recordings | undefined;

  constructor() {
    super();
    this.signals = 'usual';
    this.every = 1;
    this.rowBytes = 0;
    this.busy = false;
    this.said = '';
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.recordings?.removeEventListener('change', this.changed);
    this.recordings = undefined;
  }

  override render() {
    const { recordings } = this;
    const running = recordings?.running ?? false;
    return html`
      <section aria-labelledby="record">
        <h3 id="record">${WORDS.title}</h3>
        <p>${WORDS.does} ${this.placeWords()}</p>
        <div class="line">
          <button class="key start" aria-pressed=${running} ?disabled=${this.busy || !recordings} @click=${this.turn}>${running ? WORDS.end : WORDS.start}</button>
          <label>${WORDS.signals}
            <select ?disabled=${running} @change=${(e: Event) => this.choose((e.target as HTMLSelectElement).value as SignalChoice['id'])}>
              ${signalChoices().map(({ id, words }) => html`<option value=${id} ?selected=${id === this.signals}>${words}</option>`)}
            </select>
          </label>
          <label>${WORDS.rows}
            <select ?disabled=${running} @change=${(e: Event) => (this.every = Number((e.target as HTMLSelectElement).value))}>
              ${rateChoices(this.session.info.pwm_Hz).map(([every, words]) => html`<option value=${every} ?selected=${every === this.every}>${words}</option>`)}
            </select>
          </label>
          <button class="key" ?disabled=${this.busy || running || !recordings} @click=${this.past}>${WORDS.past(PAST_S)}</button>
        </div>
        <p>${this.costWords()}</p>
        ${running ? html`<p class="now">${this.runWords()}</p>` : nothing}
        <p class="said" role="status">${this.said}</p>
      </section>
      <recording-list .recordings=${recordings} .session=${this.session} @said=${(e: CustomEvent<string>) => (this.said = e.detail)}></recording-list>
    `;
  }

  protected override firstUpdated(): void {
    const recordings = Recordings.of(this.session);
    this.recordings = recordings;
    recordings.addEventListener('change', this.changed);
    this.session.recording = recordings.running ? this.session.recording : '';
    void recordings.renew();
    void this.weigh();
  }

  private placeWords(): string {
    const { place, stays } = this.recordings ?? {};
    if (place?.kind === 'memory') return `${place.why} ${WORDS.memory(bytes(place.most_B))}`;
    return stays ? WORDS.stays : WORDS.mayGo;
  }

  private costWords(): string {
    const { rowBytes, recordings } = this;
    if (rowBytes === 0) return '';
    const perSecond = (rowBytes * this.session.info.pwm_Hz) / this.every;
    const rate = WORDS.rate(bytes(60 * perSecond));
    const free_B = recordings?.free_B;
    if (free_B === undefined || recordings?.place?.kind !== 'disk') return `${rate}.`;
    return `${rate}. ${WORDS.free(bytes(free_B), roughly(free_B / perSecond))}.`;
  }

  private runWords(): string {
    const stands = this.recordings?.stands;
    if (!stands) return '';
    const runs = WORDS.runs(length(stands.length_s), bytes(stands.size_B), count(stands.rows));
    return stands.missing > 0 ? `${runs} ${WORDS.missing(count(stands.missing))}` : runs;
  }

  private choose(id: SignalChoice['id']): void {
    this.signals = id;
    void this.weigh();
  }

  private async weigh(): Promise<void> {
    this.rowBytes = (await this.recordings?.rowBytes(this.ask().signals)) ?? 0;
  }

  private ask(): RecordAsk {
    const { info } = this.session;
    const choices = signalChoices();
    const { signals } = choices.find(({ id }) => id === this.signals) ?? choices[0];
    return { signals, every: this.every, controller: info.board ? info.board.name : `builtin:${info.controller}` };
  }

  private readonly turn = (): Promise<void> =>
    this.alone(async (recordings) => {
      if (!recordings.running) return (await recordings.start(this.ask())) || WORDS.began;
      const stands = await recordings.end();
      if (!stands) return '';
      return stands.why === '' ? WORDS.ended(stands.name) : WORDS.endedBy(stands.why);
    });

  private readonly past = (): Promise<void> =>
    this.alone(async (recordings) => {
      const why = await recordings.takePast({ ...this.ask(), every: this.every }, PAST_S);
      return why === '' ? WORDS.ended(recordings.stands?.name ?? '') : why;
    });

  /** One thing at a time; says what came of it. */
  private async alone(work: (recordings: Recordings) => Promise<string>): Promise<void> {
    const { recordings } = this;
    if (!recordings || this.busy) return;
    this.busy = true;
    try {
      this.said = await work(recordings);
    } catch (error) {
      this.said = (error as Error).message;
    } finally {
      this.busy = false;
      await this.updateComplete;
      this.renderRoot.querySelector<HTMLButtonElement>('.start')?.focus();
    }
  }

  private was = false;
  private readonly changed = (): void => {
    const { stands, running } = this.recordings ?? {};
    if (this.was && !running && !this.busy && stands?.why) this.said = WORDS.endedBy(stands.why);
    else if (this.was && !running && !this.busy && stands) this.said = WORDS.ended(stands.name);
    this.was = running === true;
    this.requestUpdate();
  };
}

customElements.define('recording-desk', RecordingDesk);
declare global {
  interface HTMLElementTagNameMap {
    'recording-desk': RecordingDesk;
  }
}
