import { html, LitElement, nothing } from 'lit';
import type { FaultAsk, FaultRow, Span } from '../../worker/api.ts';
import { WORDS as DRILL_WORDS } from '../drill-view/words.ts';
import { LESSONS } from '../lessons/index.ts';
import type { Lesson, Reading, Step } from '../lessons/lesson.ts';
import { measure, unitOf } from '../lessons/measure.ts';
import { Left, playStep } from '../lessons/play.ts';
import { faultRows } from '../session/faults.ts';
import type { Session } from '../session/session.ts';
import type { StageAsk } from '../spindle-page/stage.ts';
import { shared } from '../style/shared.ts';
import { sheetFrame } from '../style/sheet.ts';
import { freezeText } from '../time-rail/freeze-text.ts';
import './lesson-trace.ts';
import { numberText } from './lesson-trace.ts';
import { lessonStyles } from './lesson-view.styles.ts';
import { PageBench } from './page-bench.ts';
import { faultWords, paceText, setsText } from './sets.ts';
import { LESSON_WORDS as WORDS } from './words.ts';
import { worksheet } from './worksheet.ts';

type Doing = 'makes ready' | 'runs' | 'ghost' | 'stands' | 'failed';

/**
 * Teaches: a choice of lessons, and one of them step by step. Each step plays on the bench of the page, freezes, shows what was
 * read there and asks. Whatever it sets it says, and gives back when it ends.
 *
 * @fires close - the person is done with it
 * @fires stage - detail: StageAsk, how the page around it shall be
 */
export class LessonView extends LitElement {
  static override styles = [shared, sheetFrame, lessonStyles];
  static override properties = {
    session: { attribute: false },
    lesson: { state: true },
    at: { state: true },
    doing: { state: true },
    values: { state: true },
    answered: { state: true },
    why: { state: true },
    says: { state: true },
    pace: { state: true },
  };
  declare session: Session;
  declare private lesson: Lesson | undefined;
  /** Number of the step; -1 on the cover. */ declare private at: number;
  declare private doing: Doing;
  /** What the readings have read, once time stands. */ declare private values: readonly number[];
  /** Number of the answer that was chosen last, -1 for none. */ declare private answered: number;
  declare private why: string;
  /** What is said on the cover: what was given back. */ declare private says: string;
  declare private pace: number;

  private bench: PageBench | undefined;
  private readonly faults = new Map<string, FaultRow>();
  private turn = 0;
  private drawn_s = 0;

  constructor() {
    super();
    this.at = -1;
    this.doing = 'makes ready';
    this.values = [];
    this.answered = -1;
    this.why = '';
    this.says = '';
    this.pace = 1;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.bench ??= new PageBench(this.session, (ask) => {
      if (ask.pace !== undefined) this.pace = ask.pace;
      this.tell(ask);
    });
    this.session.addEventListener('news', this.follow);
    this.addEventListener('keydown', this.key);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.session.removeEventListener('news', this.follow);
    this.removeEventListener('keydown', this.key);
    this.turn++;
    void this.bench?.giveBack();
    this.tell({ teaching: false, veiled: false, part: '' });
  }

  /** Takes the focus: the first lesson. */
  async enter(): Promise<void> {
    this.tell({ teaching: true });
    for (const row of await faultRows(this.session)) this.faults.set(row.id, row);
    await this.focusOn('.chooser .key');
  }

  override render() {
    const { lesson, at } = this;
    return html`
      <header>
        <h2>${WORDS.title}${lesson ? html`: ${lesson.title}` : nothing}</h2>
        ${lesson && at >= 0 ? this.progress(lesson, at) : nothing}
        <button class="key close" @click=${() => this.dispatchEvent(new CustomEvent('close'))}>${WORDS.close} <kbd aria-hidden="true">Esc</kbd></button>
      </header>
      ${lesson === undefined ? this.choice() : at < 0 ? this.cover(lesson) : this.step(lesson.steps[at])}
      ${lesson && at >= 0 ? this.foot(lesson, at) : nothing}
      ${lesson ? worksheet(lesson) : nothing}
    `;
  }

  private progress({ steps }: Lesson, at: number) {
    return html`<span class="bars" aria-hidden="true">${steps.map((_, k) => html`<i class=${k <= at ? 'done' : ''}></i>`)}</span>
      <span>${WORDS.step(at + 1, steps.length)}</span>`;
  }

  private choice() {
    return html`<section class="body" tabindex="0" aria-label=${WORDS.list}>
      <p>${WORDS.lead}</p>
      <ul class="chooser">
        ${LESSONS.map((lesson) => html`<li><button class="key" @click=${() => this.choose(lesson)}><b>${lesson.title}</b><span>${lesson.about} ${WORDS.steps(lesson.steps.length)}.</span></button></li>`)}
      </ul>
    </section>`;
  }

  private cover(lesson: Lesson) {
    const board = this.session.info.coupling !== 'in-process';
    return html`<section class="body" tabindex="0" aria-label=${lesson.title}>
      ${this.says ? html`<p class="status" role="status">${this.says}</p>` : nothing}
      <h3>${lesson.title}</h3>
      <p class="says">${lesson.about}</p>
      <p>${board ? WORDS.boardDrives : WORDS.begins}</p>
      ${this.cautions()}
      <p class="row">
        <button class="key firm begin" ?disabled=${board} @click=${() => this.go(0)}>${WORDS.begin}</button>
        <button class="key" @click=${() => print()}>${WORDS.worksheet}</button>
        <button class="key" @click=${() => this.choose(undefined)}>${WORDS.others}</button>
      </p>
    </section>`;
  }

  private cautions() {
    return html`<div class="caution">${WORDS.cautions.map((text) => html`<p>${text}</p>`)}</div>`;
  }

  private step(step: Step) {
    const { doing, answered } = this;
    const veiled = step.hidesTruth === true && answered < 0;
    const fault = (ask: FaultAsk) => faultWords(ask, this.faults.get(ask.fault));
    return html`<section class="body" tabindex="0" aria-label=${step.title}>
      <h3 tabindex="-1">${step.title}</h3>
      <p class="says">${step.says}</p>
      <p class="status" role="status">${this.standing(step)} ${veiled ? WORDS.hidden : nothing}</p>
      <div class="two">
        <div>
          <lesson-trace .lanes=${step.lanes} ?veiled=${veiled}></lesson-trace>
          <p class="sets">${WORDS.sets}: ${setsText(step, this.session.info, fault)}</p>
        </div>
        <div>
          ${doing === 'stands' && !veiled ? this.readings(step) : nothing}
          ${doing === 'stands' ? this.question(step) : nothing}
        </div>
      </div>
    </section>`;
  }

  private standing(step: Step) {
    if (this.doing === 'failed') return html`<span class="trouble">${WORDS.failed(this.why)}</span>`;
    if (this.doing === 'makes ready') return WORDS.makesReady;
    const look = WORDS.look(DRILL_WORDS.partNames[step.part]);
    if (this.doing === 'ghost' && step.ghost) return WORDS.ghostRuns(step.ghost.words);
    return this.doing === 'stands'
      ? `${WORDS.stands} ${look}`
      : `${WORDS.runs(paceText(this.pace), this.untilText(step))} ${look}`;
  }

  /** What ends the phase under way, in words. */
  private untilText({ phases }: Step): string {
    const { info, news } = this.session;
    const when = news?.past.freezeWhen;
    if (!when) return '';
    const own = phases.find(({ until }) => until.channel === when.channel && until.level === when.level);
    return own?.untilWords ?? freezeText(when, info);
  }

  private readings({ readings }: Step) {
    return html`<table>
      <caption>${WORDS.read}</caption>
      <tbody>
        ${readings.map((reading, k) => html`<tr><td>${reading.words}</td><td class="number">${this.shown(reading, this.values[k] ?? Number.NaN)}</td></tr>`)}
      </tbody>
    </table>`;
  }

  /** A trip is told by its name, everything else by number and unit. */
  private shown(reading: Reading, value: number): string {
    if (reading.channel !== 'tripReason') return numberText(value, unitOf(reading));
    return value === 0 ? WORDS.noTrip : (this.session.info.tripText[value] ?? String(value));
  }

  private question({ ask, answers }: Step) {
    return html`<p><b id="ask">${ask}</b></p>
      <ul class="answers" aria-labelledby="ask">
        ${answers.map(
          ({ text }, k) =>
            html`<li><button class="key" aria-pressed=${this.answered === k} aria-keyshortcuts=${WORDS.letters[k]} @click=${() => this.answer(k)}><kbd aria-hidden="true">${WORDS.letters[k]}</kbd><span>${text}</span></button></li>`,
        )}
      </ul>
      <p class="look" role="status">${this.answered < 0 ? nothing : answers[this.answered].look}</p>`;
  }

  private foot({ steps }: Lesson, at: number) {
    const { keys } = WORDS;
    const last = at === steps.length - 1;
    const button = (name: string, key: string, act: () => void, firm = false) =>
      html`<button class="key ${firm ? 'firm' : ''}" aria-keyshortcuts=${key} @click=${act}>${name} <kbd aria-hidden="true">${key}</kbd></button>`;
    return html`<footer>
      ${button(last ? WORDS.finish : WORDS.next, keys.next, this.next, this.answered >= 0)}
      ${button(WORDS.show, keys.show, this.again)}
      ${button(WORDS.reset, keys.reset, this.reset)}
    </footer>`;
  }

  private async choose(lesson: Lesson | undefined): Promise<void> {
    this.lesson = lesson;
    this.at = -1;
    this.says = '';
    this.tell({ part: '' });
    await this.focusOn(lesson ? '.begin:enabled, .row .key:enabled' : '.chooser .key');
  }

  /** Shows a step from its beginning. */
  private async go(at: number): Promise<void> {
    const { lesson, bench } = this;
    if (!lesson || !bench) return;
    const mine = ++this.turn;
    const step = lesson.steps[at];
    bench.borrow();
    bench.abandon();
    const elsewhere = this.at !== at || this.renderRoot.querySelector('.answers :focus') !== null;
    this.at = at;
    this.doing = 'makes ready';
    this.values = [];
    this.answered = -1;
    this.tell({ veiled: step.hidesTruth === true, part: step.part });
    if (elsewhere) await this.focusOn('h3');
    try {
      const spans = await playStep(step, this.following(bench), () => mine !== this.turn);
      const values: number[] = [];
      for (const reading of step.readings)
        values.push(await measure((ask) => this.session.api.look(ask), reading, spans));
      if (mine !== this.turn) return;
      this.values = values;
      this.doing = 'stands';
      await this.draw(spans[spans.length - 1].to_s);
    } catch (error) {
      if (mine !== this.turn || error instanceof Left) return;
      this.doing = 'failed';
      this.why = (error as Error).message;
    }
  }

  /** The same bench, saying what it is at. */
  private following(bench: PageBench): PageBench {
    const view = this;
    return Object.assign(Object.create(bench) as PageBench, {
      async untilItStands(count: number) {
        view.doing = 'runs';
        return await bench.untilItStands(count);
      },
      async ghostOf(ask: Parameters<PageBench['ghostOf']>[0]) {
        view.doing = 'ghost';
        return await bench.ghostOf(ask);
      },
    });
  }

  private async draw(to_s: number): Promise<void> {
    const step = this.lesson?.steps[this.at];
    if (!step || to_s <= 0) return;
    await this.updateComplete;
    const span: Span = { from_s: Math.max(0, to_s - step.show_s), to_s };
    this.drawn_s = to_s;
    await this.renderRoot.querySelector('lesson-trace')?.draw(this.session, span.from_s, span.to_s);
  }

  /** While time runs, the traces follow with the news, a few times a second. */
  private readonly follow = (): void => {
    const now_s = this.session.news?.past.now_s ?? 0;
    if (this.at < 0 || this.doing !== 'runs') return;
    this.requestUpdate(); // the end of the phase under way
    if (now_s !== this.drawn_s) void this.draw(now_s);
  };

  private answer(k: number): void {
    if (this.doing !== 'stands') return;
    this.answered = k;
    this.tell({ veiled: false });
    void this.draw(this.drawn_s);
    void this.updateComplete.then(() => this.renderRoot.querySelector('.look')?.scrollIntoView({ block: 'nearest' }));
  }

  private readonly next = (): void => {
    if (!this.lesson) return;
    if (this.at + 1 < this.lesson.steps.length) void this.go(this.at + 1);
    else void this.finish(this.lesson);
  };

  private readonly again = (): void => void this.go(this.at);
  private readonly reset = (): void => void this.go(0);

  private async finish(lesson: Lesson): Promise<void> {
    this.turn++;
    this.at = -1;
    this.tell({ part: '' });
    try {
      const back = await this.bench?.giveBack();
      this.says = `${WORDS.done(lesson.title)} ${WORDS.givenBack(back ?? '')}`;
    } catch (error) {
      this.says = WORDS.notGivenBack((error as Error).message);
    }
    await this.focusOn('.begin:enabled');
  }

  /** One key for each thing to do; only while the focus is in the lesson. */
  private readonly key = (e: KeyboardEvent): void => {
    if (e.repeat || e.ctrlKey || e.altKey || e.metaKey || !this.lesson || this.at < 0) return;
    const key = e.key.toUpperCase();
    const answer = (WORDS.letters as readonly string[]).indexOf(key);
    if (answer >= 0) this.answer(answer);
    else if (key === WORDS.keys.next) this.next();
    else if (key === WORDS.keys.show) this.again();
    else if (key === WORDS.keys.reset) this.reset();
    else return;
    e.preventDefault();
  };

  private tell(ask: StageAsk): void {
    this.dispatchEvent(new CustomEvent('stage', { detail: ask }));
  }

  private async focusOn(selector: string): Promise<void> {
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLElement>(selector)?.focus();
  }
}

customElements.define('lesson-view', LessonView);
declare global {
  interface HTMLElementTagNameMap {
    'lesson-view': LessonView;
  }
}
