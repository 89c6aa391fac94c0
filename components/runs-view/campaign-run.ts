import { html, LitElement, nothing, type PropertyValues } from 'lit';
import type { CampaignCells, CampaignStands, Cell, Plan, PointRow, ReportKind } from '../../worker/api.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { caseTable } from './case-table.ts';
import { gridKeys, matrix } from './matrix.ts';
import { span, withUnit } from './numbers.ts';
import { RunsDesk } from './runs-desk.ts';
import { matrixStyles, runStyles } from './runs-view.styles.ts';
import { saveText, stem } from './save.ts';
import { WORDS } from './words.ts';

/** A run opens so long before the moment that is meant [s]. */
const BEFORE_S = 0.05;

/**
 * One campaign: run on workers of its own, cancelled, gone on with, laid out in a matrix whose runs open on the bench.
 *
 * @fires opened - a run stands on the bench
 */
export class CampaignRun extends LitElement {
  static override styles = [shared, runStyles, matrixStyles];
  static override properties = {
    session: { attribute: false },
    plan: { attribute: false },
    stands: { state: true },
    cells: { state: true },
    chosen: { state: true },
    busy: { state: true },
    note: { state: true },
    problem: { state: true },
    portion: { state: true },
  };
  declare session: Session;
  declare plan: Plan;
  declare private stands: CampaignStands | undefined;
  declare private cells: CampaignCells | undefined;
  /** Row and column of the chosen cell. */ declare private chosen: readonly [string, string] | undefined;
  declare private busy: boolean;
  declare private note: string;
  declare private problem: string;
  /** Which part is run, such as '2/8', '' for the whole. */ declare private portion: string;
  private readonly desk = new RunsDesk();
  private axes: readonly (string | undefined)[] = [];

  constructor() {
    super();
    this.clear();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.desk.close();
  }

  protected override willUpdate(changed: PropertyValues): void {
    if (!changed.has('plan') || changed.get('plan') === undefined) return;
    this.desk.close();
    this.clear();
  }

  override render() {
    const { stands, busy, cells } = this;
    const some = (stands?.runs ?? 0) > 0;
    const whole = stands !== undefined && stands.done >= stands.points;
    return html`
      <div class="row">
        ${
          busy
            ? html`<button class="key cancel" @click=${this.cancel}>${WORDS.cancel}</button>`
            : html`<button class="key firm run" ?disabled=${whole} @click=${this.run}>${some ? WORDS.goOn : WORDS.run}</button>`
        }
        ${busy || some ? nothing : html`<label>${WORDS.part}<input id="part" class="part" autocomplete="off" spellcheck="false" .value=${this.portion} aria-describedby="part-does" @input=${this.typedPart} /></label><small id="part-does" class="dim beside">${WORDS.partDoes}</small>`}
        ${
          some && !busy
            ? html`<button class="key" @click=${() => this.save('html')}>${WORDS.saveHtml}</button>
              <button class="key" @click=${() => this.save('junit')}>${WORDS.saveJunit}</button>
              <button class="key" @click=${this.saveLines}>${WORDS.saveLines}</button>`
            : nothing
        }
        ${busy || some ? html`<progress max=${stands?.points ?? 1} .value=${stands?.done ?? 0} aria-label=${WORDS.run}></progress>` : nothing}
        ${stands ? html`<span class="stands">${this.standsLine(stands)}</span>` : nothing}
      </div>
      <div role="status">${this.note}</div>
      <p class="problem" role="alert">${this.problem}</p>
      ${cells && cells.cells.length > 0 ? this.matrix(cells) : nothing}
    `;
  }

  private standsLine({ done, points, runs, left_s, workers }: CampaignStands): string {
    const parts = [WORDS.progress(done, points, runs)];
    if (this.portion !== '') parts.push(WORDS.partNamed(this.portion));
    if (this.busy) parts.push(WORDS.workers(workers));
    if (this.busy && Number.isFinite(left_s)) parts.push(WORDS.left(span(left_s)));
    return parts.join(', ');
  }

  private matrix(cells: CampaignCells) {
    const axis = (
      name: 'row' | 'column',
      label: string,
    ) => html`<label>${label}<select @change=${(e: Event) => this.turn(name, e)}>
      ${cells.axes.map((each) => html`<option value=${each} ?selected=${each === cells[name]}>${WORDS.axes[each] ?? each}</option>`)}</select></label>`;
    const cell = cells.cells.find(({ row, column }) => row === this.chosen?.[0] && column === this.chosen?.[1]);
    return html`
      ${cells.cases.length > 0 ? caseTable(cells.cases) : nothing}
      <h4 id="matrix">${WORDS.matrix}</h4>
      <p class="dim">${WORDS.matrixDoes}</p>
      ${cells.axes.length > 1 ? html`<div class="row">${axis('row', WORDS.rows)}${axis('column', WORDS.columns)}</div>` : nothing}
      <div class="wide matrix-room" @keydown=${gridKeys}>${matrix(cells, this.chosen, (row, column) => {
        this.chosen = [row, column];
      })}</div>
      ${cell ? this.runsOf(cell) : nothing}
    `;
  }

  private runsOf({ row, column, runs }: Cell) {
    return html`<div class="wide" tabindex="0" role="region" aria-label=${WORDS.runsOf(row, column)}><table class="points">
      <caption>${WORDS.runsOf(row, column)}</caption>
      <tbody>${runs.map((each) => this.point(each))}</tbody></table></div>`;
  }

  private point(run: PointRow) {
    const { name, verdict, why, worst, values } = run;
    const failed = verdict === 'failed';
    const open = failed ? WORDS.openFailed : WORDS.openEnd;
    return html`<tr>
      <td class=${verdict === 'passed' ? '' : 'bad'}>${WORDS.verdicts[verdict]}</td>
      <th scope="row">${WORDS.point(name)}<small>${Object.entries(values)
        .map(([place, value]) => `${place} ${value}`)
        .join(', ')}</small>${why ? html`<small>${why}</small>` : nothing}</th>
      <td>${worst?.margin === undefined || worst.margin === null ? nothing : WORDS.worst(worst.name, withUnit(worst.margin, worst.unit))}</td>
      <td>${
        verdict === 'set-up error'
          ? nothing
          : html`<button class="key open" aria-label=${`${open}: ${WORDS.point(name)}`} @click=${() => this.open(run)}>${open}</button>`
      }</td></tr>`;
  }

  private readonly run = async (): Promise<void> => {
    const { plan } = this;
    this.busy = true;
    this.note = '';
    this.problem = '';
    try {
      const finished = await this.desk.campaign(plan, this.portion, (stands) => {
        if (this.plan !== plan) return;
        this.stands = stands;
        void this.renew();
      });
      if (this.plan !== plan) return;
      this.note = finished ? WORDS.finished : WORDS.cancelled;
    } catch (error) {
      if (this.plan === plan) this.problem = (error as Error).message;
    } finally {
      if (this.plan === plan) {
        this.busy = false;
        await this.renew();
      }
    }
  };

  private async renew(): Promise<void> {
    const { plan } = this;
    const cells = await this.desk.api.cells(this.axes[0], this.axes[1]);
    if (this.plan === plan) this.cells = cells;
  }

  private readonly cancel = (): void => {
    void this.desk.api.stopCampaign();
  };

  private turn(name: 'row' | 'column', e: Event): void {
    const axis = (e.target as HTMLSelectElement).value;
    const [row, column] = [this.cells?.row, this.cells?.column];
    this.axes = name === 'row' ? [axis, column] : [row, axis];
    this.chosen = undefined;
    void this.renew();
  }

  private async open({ name, failedAt_s }: PointRow): Promise<void> {
    this.note = WORDS.opening;
    try {
      const scenario = await this.desk.api.pointScenario(name);
      await this.session.openScene(scenario, {}, Math.max(0, Math.min(failedAt_s, scenario.duration_s) - BEFORE_S));
      this.dispatchEvent(new Event('opened', { bubbles: true, composed: true }));
    } catch (error) {
      this.problem = (error as Error).message;
    } finally {
      this.note = '';
    }
  }

  private async save(kind: ReportKind): Promise<void> {
    const text = await this.desk.api.campaignReport(kind);
    if (kind === 'html') saveText(text, `${stem(this.plan.file)}.html`, 'text/html');
    else saveText(text, `${stem(this.plan.file)}.xml`, 'application/xml');
  }

  private readonly saveLines = async (): Promise<void> => {
    this.problem = '';
    const part = this.portion === '' ? '' : `.part-${this.portion.replace('/', '-of-')}`;
    try {
      saveText(await this.desk.api.campaignFile(), `${stem(this.plan.file)}${part}.jsonl`, 'application/jsonl');
    } catch (error) {
      this.problem = (error as Error).message;
    }
  };

  private readonly typedPart = (e: Event): void => {
    this.portion = (e.target as HTMLInputElement).value.trim();
  };

  private clear(): void {
    this.stands = undefined;
    this.cells = undefined;
    this.chosen = undefined;
    this.busy = false;
    this.note = '';
    this.problem = '';
    this.axes = [];
    this.portion = '';
  }
}

customElements.define('campaign-run', CampaignRun);
