import { html, LitElement, nothing } from 'lit';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import type { FreezeWhen, Mark, PastNews } from '../../worker/api.ts';
import { FineStep } from '../session/fine-step.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import './freeze-form.ts';
import type { FreezeForm } from './freeze-form.ts';
import { freezeText } from './freeze-text.ts';
import { fineText, momentText } from './moment.ts';
import './rewind-form.ts';
import type { RewindForm } from './rewind-form.ts';
import './run-strip.ts';
import type { StripFacts } from './run-strip.ts';
import { railStyles } from './time-rail.styles.ts';
import { RAIL_WORDS as WORDS } from './words.ts';

/** Paces on offer: virtual seconds per second of life. */
const PACES = [
  { value: 1, name: 'Life', say: 'life pace' },
  { value: 0.1, name: '1/10', say: '1/10, a tenth of life' },
  { value: 0.01, name: '1/100', say: '1/100, a hundredth of life' },
  { value: 0.001, name: '1/1000', say: '1/1000, a thousandth of life' },
] as const;

/** Steps on offer [PWM periods]; the finest is a step of the model. */
const STEPS = [
  { periods: -20, name: WORDS.back('1 ms'), say: WORDS.stepBack('1 millisecond'), key: '' },
  { periods: -1, name: WORDS.back('50 µs'), say: WORDS.stepBack('one PWM period'), key: WORDS.keys.back },
  { periods: -0.02, name: WORDS.back('1 µs'), say: WORDS.stepBack('1 microsecond'), key: WORDS.keys.fineBack },
  { periods: 0.02, name: WORDS.on('1 µs'), say: WORDS.stepOn('1 microsecond'), key: WORDS.keys.fineOn },
  { periods: 1, name: WORDS.on('50 µs'), say: WORDS.stepOn('one PWM period'), key: WORDS.keys.on },
  { periods: 20, name: WORDS.on('1 ms'), say: WORDS.stepOn('1 millisecond'), key: '' },
] as const;

/**
 * Time itself: run, freeze, steps both ways, rewind, the whole run as a strip, the condition to freeze, pace.
 *
 * @fires run - time shall go on
 * @fires freeze - time shall stand
 * @fires compare - the run shall be compared
 * @fires pace - detail: virtual seconds per wall second
 */
export class TimeRail extends LitElement {
  static override styles = [shared, railStyles];
  static override properties = {
    session: { attribute: false },
    running: { type: Boolean },
    pace: { type: Number },
    say: { attribute: false },
    past: { state: true },
    marks: { state: true },
    open: { state: true },
    problem: { state: true },
    fine_s: { state: true },
  };
  declare session: Session | undefined;
  declare running: boolean;
  declare pace: number;
  /** One plain sentence about the time. */ declare say: string;
  declare private past: PastNews | undefined;
  declare private marks: readonly Mark[];
  declare private open: '' | 'rewind' | 'freeze';
  declare private problem: string;
  /** The instant within a period that is shown. */ declare private fine_s: number | undefined;
  private fine: FineStep | undefined;
  private told = -1;

  constructor() {
    super();
    this.running = true;
    this.pace = 1;
    this.say = '';
    this.marks = [];
    this.open = '';
    this.problem = '';
  }

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (changed.has('session') && this.session) {
      const { session } = this;
      this.fine = new FineStep(session);
      session.addEventListener('news', () => this.hear(session));
      session.addEventListener('driver', () => {
        this.told = -1;
        this.endFine();
      });
    }
    if (changed.has('running') && this.running) this.endFine();
  }

  override render() {
    const { running, past, session } = this;
    const fixed = past?.fixed ?? '';
    return html`
      <div class="row">
        <div class="group" role="group" aria-label=${WORDS.time}>
          <button class="key" aria-pressed=${running} @click=${() => this.tell('run')}>${WORDS.run}</button>
          <button class="key" aria-pressed=${!running} @click=${() => this.tell('freeze')}>${WORDS.freeze}</button>
        </div>
        <div class="group steps" role="group" aria-label=${WORDS.steps}>
          ${STEPS.map(
            ({ periods, name, say, key }) =>
              html`<button class="key" ?disabled=${running || (fixed !== '' && periods < 1)} title=${[say, key].filter(Boolean).join('; ')} @click=${() => this.step(periods)}>${name}</button>`,
          )}
        </div>
        <button class="key" aria-expanded=${this.open === 'rewind'} ?disabled=${fixed !== ''} title=${fixed} @click=${() => this.turn('rewind')}>${WORDS.rewind}</button>
        <button class="key" aria-expanded=${this.open === 'freeze'} @click=${() => this.turn('freeze')}>${WORDS.freezeWhen}</button>
        <button class="key compare" ?disabled=${session === undefined} @click=${() => this.tell('compare')}>${WORDS.compare}</button>
        ${past?.rewound ? html`<button class="key" title=${WORDS.carryOnDoes} @click=${this.carryOn}>${WORDS.carryOn}</button>` : nothing}
        ${this.words()}
        <div class="set pace">
          <span class="lab" id="pace">${WORDS.pace}</span>
          <div class="group" role="group" aria-label=${WORDS.pace}>
            ${PACES.map((p) => html`<button class="key" aria-pressed=${this.pace === p.value} aria-label=${p.say} @click=${() => this.tell('pace', p.value)}>${p.name}</button>`)}
          </div>
        </div>
      </div>
      ${this.form()}
      <run-strip .facts=${this.stripFacts()} @rewind=${(e: CustomEvent<number>) => this.rewind(e.detail)}></run-strip>
    `;
  }

  /** Steps by whole PWM periods, back (negative) or on; by less than one, a step of the model. */
  async step(periods: number): Promise<void> {
    const { session, past, running } = this;
    if (!session || running) return;
    const back = past?.fixed ?? '';
    if (back !== '' && periods < 1) {
      this.problem = back;
      return;
    }
    if (Math.abs(periods) < 1) {
      this.problem = (await this.fine?.step(periods < 0 ? -1 : 1)) ?? '';
      this.fine_s = this.fine?.at_s;
      return;
    }
    this.endFine();
    if (periods > 0) await session.api.step(periods);
    else this.took(await session.api.stepBack(-periods));
  }

  /** Gives the focus back to the button that opened the comparison. */
  focusCompare(): void {
    this.renderRoot.querySelector<HTMLButtonElement>('.compare')?.focus();
  }

  private words() {
    const { past, session, fine_s, problem } = this;
    const strong = (text: string) => html`<span class="say strong" role="status">${text}</span>`;
    if (problem) return strong(problem);
    if (fine_s !== undefined) return strong(WORDS.fine(fineText(fine_s)));
    if (past?.frozen && session)
      return strong(WORDS.frozen(freezeText(past.frozen.by, session.info), momentText(past.frozen.at_s)));
    if (past?.fixed && !this.running) return strong(past.fixed);
    if (past?.rewound) return strong(WORDS.rewound(momentText(past.now_s), momentText(past.held.to_s)));
    if (past?.freezeWhen && session) return strong(WORDS.waits(freezeText(past.freezeWhen, session.info)));
    return html`<span class="say">${this.say}</span>`;
  }

  private form() {
    const { past, session } = this;
    if (this.open === 'rewind' && past)
      return html`<rewind-form .earliest_s=${past.earliest_s} .end_s=${past.held.to_s} .marks=${this.marks}
        @rewind=${(e: CustomEvent<number>) => this.rewind(e.detail)} @close=${() => this.turn('')}></rewind-form>`;
    if (this.open === 'freeze')
      return html`<freeze-form .info=${session?.info} .current=${past?.freezeWhen}
        @set=${(e: CustomEvent<FreezeWhen | undefined>) => this.freezeWhen(e.detail)} @close=${() => this.turn('')}></freeze-form>`;
    return nothing;
  }

  private stripFacts(): StripFacts | undefined {
    const { past, session, marks } = this;
    if (!past || !session) return undefined;
    const { held, now_s, finest_s, earliest_s, fixed } = past;
    const from_s = fixed === '' ? Math.min(Math.max(held.from_s, earliest_s), held.to_s) : held.from_s;
    const { tick_s, now } = session.record;
    const present_s = () => now[SIGNAL_INDEX.time];
    return { from_s, to_s: held.to_s, now_s, present_s, finest_s, marks, fixed, tick_s };
  }

  private hear(session: Session): void {
    const past = session.news?.past;
    this.past = past;
    if (!past || past.marks === this.told) return;
    this.told = past.marks;
    void session.api.marks(past.held.from_s, past.held.to_s).then((marks) => {
      this.marks = marks;
    });
  }

  private async rewind(to_s: number): Promise<void> {
    const { session, past } = this;
    if (!session || !past) return;
    this.endFine();
    this.tell('freeze');
    const why = this.took(await session.api.rewindTo(to_s));
    const form = this.renderRoot.querySelector<RewindForm>('rewind-form');
    if (why !== '') form?.refuse(why);
  }

  private async freezeWhen(condition: FreezeWhen | undefined): Promise<void> {
    try {
      await this.session?.api.freezeWhen(condition);
      this.turn('');
    } catch (error) {
      this.renderRoot.querySelector<FreezeForm>('freeze-form')?.refuse((error as Error).message);
    }
  }

  private readonly carryOn = async (): Promise<void> => {
    this.endFine();
    await this.session?.api.carryOn();
  };

  /** Why a way back was refused, '' when it was taken. */
  private took(done: { readonly ok: boolean; readonly why?: string }): string {
    this.problem = done.ok ? '' : (done.why ?? '');
    return this.problem;
  }

  private endFine(): void {
    this.problem = '';
    this.fine?.forget();
    this.fine_s = undefined;
  }

  /** Opens a form in place of the one that is open, or closes it; the focus goes along. */
  private async turn(which: TimeRail['open']): Promise<void> {
    const before = this.open;
    this.open = before === which ? '' : which;
    await this.updateComplete;
    if (this.open !== '') this.renderRoot.querySelector<RewindForm | FreezeForm>('rewind-form, freeze-form')?.enter();
    else {
      const buttons = this.renderRoot.querySelectorAll<HTMLButtonElement>('.row > button');
      buttons[before === 'freeze' ? 1 : 0]?.focus();
    }
  }

  private tell(name: string, detail?: number): void {
    if (name === 'run') this.endFine();
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }
}

customElements.define('time-rail', TimeRail);
declare global {
  interface HTMLElementTagNameMap {
    'time-rail': TimeRail;
  }
}
