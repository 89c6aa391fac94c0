import { html, LitElement, nothing, type PropertyValues } from 'lit';
import type { CheckResult, Otherwise, ReportKind, RunEnded, RunStands, Scenario } from '../../worker/api.ts';
import { builtInName, CAUTION } from '../controller-sheet/words.ts';
import type { Session } from '../session/session.ts';
import { cautionStyles } from '../style/caution.ts';
import { shared } from '../style/shared.ts';
import { checkTable, differenceTable } from './check-table.ts';
import { compareForm, type OtherDraft } from './compare-form.ts';
import { span, timeText } from './numbers.ts';
import { runPlot } from './run-plot.ts';
import type { RunsDesk } from './runs-desk.ts';
import { runStyles } from './runs-view.styles.ts';
import { saveText, stem } from './save.ts';
import { WORDS } from './words.ts';

/** A run opens so long before the moment that is meant [s]. */
const BEFORE_S = 0.05;
const BOARD = 'board';

/**
 * One scenario: played, judged, drawn, put on the bench, compared with itself under another controller or with another number.
 *
 * @fires opened - the scenario stands on the bench
 */
export class ScenarioRun extends LitElement {
  static override styles = [shared, cautionStyles, runStyles];
  static override properties = {
    session: { attribute: false },
    desk: { attribute: false },
    scenario: { attribute: false },
    file: { attribute: false },
    controllers: { attribute: false },
    by: { state: true },
    stands: { state: true },
    ended: { state: true },
    other: { state: true },
    busy: { state: true },
    asking: { state: true },
    note: { state: true },
    problem: { state: true },
  };
  declare session: Session;
  declare desk: RunsDesk;
  declare scenario: Scenario;
  declare file: string;
  declare controllers: readonly string[];
  /** The controller that plays; '' for that of the file. */ declare private by: string;
  declare private stands: RunStands | undefined;
  declare private ended: RunEnded | undefined;
  declare private other: RunEnded | undefined;
  declare private busy: boolean;
  /** A board is to play, and was asked for once. */ declare private asking: boolean;
  declare private note: string;
  declare private problem: string;
  /** With what `ended` was played. */ private with: Otherwise = {};

  constructor() {
    super();
    this.controllers = [];
    this.by = '';
    this.clear();
  }

  protected override willUpdate(changed: PropertyValues): void {
    if (!changed.has('scenario') || changed.get('scenario') === undefined) return;
    if (this.busy) this.desk.giveUp();
    this.by = '';
    this.clear();
  }

  override render() {
    const { ended, stands, scenario, busy } = this;
    return html`
      <div class="row">
        <label>${WORDS.by}<select id="by" ?disabled=${busy} @change=${this.chooseBy}>
          <option value="" ?selected=${this.by === ''}>${WORDS.asFile(builtInName(scenario.controller))}</option>
          ${this.controllers.map((name) => html`<option value=${name} ?selected=${this.by === name}>${builtInName(name)}</option>`)}
          <option value=${BOARD} ?selected=${this.by === BOARD}>${WORDS.board}</option>
        </select></label>
        ${this.by === BOARD ? html`<label>${WORDS.address}<input id="address" autocomplete="off" spellcheck="false" value="ws://127.0.0.1:" /></label>` : nothing}
        ${
          busy
            ? html`<button class="key give" @click=${this.giveUp}>${WORDS.giveUp}</button>`
            : html`<button class="key firm play" ?disabled=${this.asking} @click=${this.by === BOARD ? this.ask : this.play}>${WORDS.play}</button>`
        }
        ${busy ? nothing : html`<button class="key" @click=${() => this.open(0)}>${WORDS.atStart}</button>`}
        ${
          ended && !busy
            ? html`<button class="key" @click=${() => this.save('html')}>${WORDS.saveHtml}</button>
              <button class="key" @click=${() => this.save('junit')}>${WORDS.saveJunit}</button>`
            : nothing
        }
        ${busy ? html`<progress max="1" .value=${stands?.share ?? 0} aria-label=${WORDS.play}></progress>` : nothing}
      </div>
      ${this.asking ? this.sure() : nothing}
      <div role="status">${this.note}${ended && !busy ? this.verdictLine(ended) : nothing}</div>
      <p class="problem" role="alert">${this.problem}</p>
      ${ended ? this.result(ended) : stands ? checkTable(stands.checks) : nothing}
    `;
  }

  private verdictLine({ verdict, why }: RunEnded) {
    return html`<span class="verdict ${verdict === 'passed' ? 'passed' : 'failed'}">${WORDS.verdicts[verdict]}</span>${why ? html` ${why}` : nothing}`;
  }

  private result(ended: RunEnded) {
    const { other } = this;
    const { checks, plots, virtual_s, wall_s, lostTime_s, stateHash, coupling, controller, faults } = ended;
    const begun = faults.filter(({ what }) => what === 'begins');
    return html`
      <div class="facts">
        <span>${builtInName(controller)}, ${coupling}</span><span>${WORDS.facts(timeText(virtual_s), span(wall_s))}</span>
        <span class=${lostTime_s > 0 ? 'bad' : ''}>${WORDS.lost(timeText(lostTime_s))}</span>
        <span>${WORDS.hash} <code>${stateHash}</code></span>
      </div>
      ${checkTable(checks, (check) => this.open(this.shortlyBefore(check)))}
      ${
        this.with.address === undefined
          ? compareForm(
              this.session,
              this.controllers,
              this.scenario.drill,
              this.busy,
              (draft) => void this.playOther(draft),
            )
          : nothing
      }
      ${
        other
          ? html`${differenceTable(checks, other.checks)}
            <p>${builtInName(other.controller)}: ${other.stateHash === stateHash ? WORDS.same : WORDS.noSame} <code>${other.stateHash}</code></p>`
          : nothing
      }
      <h4>${WORDS.plots}</h4>
      <div class="plots">${plots.map((plot) =>
        runPlot(
          plot,
          this.scenario.duration_s,
          begun,
          other?.plots.find(({ id }) => id === plot.id),
        ),
      )}</div>
    `;
  }

  private readonly chooseBy = (e: Event): void => {
    this.by = (e.target as HTMLSelectElement).value;
    this.asking = false;
  };

  private get otherwise(): Otherwise {
    if (this.by === '') return {};
    if (this.by !== BOARD) return { controller: this.by };
    return { address: this.renderRoot.querySelector<HTMLInputElement>('#address')?.value.trim() ?? '' };
  }

  /** Asked twice: a press by mistake must not let a real power stage switch. */
  private sure() {
    return html`<div class="caution"><p>${CAUTION}</p><p>${WORDS.sure}</p></div>
      <div class="row"><button class="key firm yes" @click=${this.play}>${WORDS.yes}</button><button class="key" @click=${this.notYet}>${WORDS.notYet}</button></div>`;
  }

  private readonly ask = async (): Promise<void> => {
    this.asking = true;
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLButtonElement>('.yes')?.focus();
  };

  private readonly notYet = async (): Promise<void> => {
    this.asking = false;
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLButtonElement>('.play')?.focus();
  };

  private readonly play = async (): Promise<void> => {
    const { otherwise } = this;
    this.clear();
    this.with = otherwise;
    this.ended = await this.playing(this.with);
  };

  private async playOther(draft: OtherDraft | string): Promise<void> {
    this.problem = typeof draft === 'string' ? draft : '';
    if (typeof draft === 'string') return;
    const { controller, change } = draft;
    this.other = undefined;
    const { changes = [], ...rest } = this.with;
    const all = change ? [...changes, change] : changes;
    const asked = { ...rest, ...(controller === '' ? {} : { controller }), changes: all };
    this.other = await this.playing(asked);
  }

  /** Resolves with undefined when it was given up or could not begin, which is told. */
  private async playing(otherwise: Otherwise): Promise<RunEnded | undefined> {
    const { scenario } = this;
    const mine = () => this.scenario === scenario;
    this.busy = true;
    this.note = '';
    this.problem = '';
    try {
      const ended = await this.desk.play(scenario, this.file, otherwise, (stands) => {
        if (mine() && this.busy) this.stands = stands;
      });
      if (!ended && mine()) this.note = WORDS.givenUp;
      return mine() ? ended : undefined;
    } catch (error) {
      if (mine()) this.problem = (error as Error).message;
      return undefined;
    } finally {
      if (mine()) this.busy = false;
    }
  }

  private readonly giveUp = (): void => {
    this.desk.giveUp();
    this.stands = undefined;
  };

  private shortlyBefore({ at_s }: CheckResult): number {
    return Math.max(0, (at_s ?? this.scenario.duration_s) - BEFORE_S);
  }

  /** Puts the scenario on the bench on show. */
  private async open(at_s: number): Promise<void> {
    this.note = WORDS.opening;
    this.problem = '';
    try {
      const { address: _, ...otherwise } = this.ended ? this.with : this.otherwise;
      await this.session.openScene(this.scenario, otherwise, at_s);
      this.dispatchEvent(new Event('opened', { bubbles: true, composed: true }));
    } catch (error) {
      this.problem = (error as Error).message;
    } finally {
      this.note = '';
    }
  }

  private async save(kind: ReportKind): Promise<void> {
    const text = await this.desk.api.report(kind);
    if (kind === 'html') saveText(text, `${stem(this.file)}.html`, 'text/html');
    else saveText(text, `${stem(this.file)}.xml`, 'application/xml');
  }

  private clear(): void {
    this.stands = undefined;
    this.ended = undefined;
    this.other = undefined;
    this.busy = false;
    this.asking = false;
    this.note = '';
    this.problem = '';
  }
}

customElements.define('scenario-run', ScenarioRun);
