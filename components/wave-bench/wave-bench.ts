import { html, LitElement, nothing, type PropertyValues } from 'lit';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { Desk } from './desk.ts';
import { DETAIL_S } from './feed.ts';
import { Gestures } from './gestures.ts';
import type { Trace } from './lanes.ts';
import { duration, hertz, moment, roundly } from './numbers.ts';
import { PaperView } from './paper-view.ts';
import { pictureOf, savePicture } from './picture.ts';
import { nowOf, type Pane, RunDesk } from './run-desk.ts';
import './signal-list.ts';
import type { SignalList } from './signal-list.ts';
import { spanOf, widest } from './span.ts';
import { happenedList, readingsTable, scalesTable } from './tables.ts';
import { waveStyles } from './wave-bench.styles.ts';
import './wave-spectrum.ts';
import './wave-xy.ts';
import { WORDS } from './words.ts';

type PaneName = 'spectrum' | 'xy';
type TableName = 'readings' | 'scales' | 'events';
/** Here the list lies over the waves and is closed at first. */
const SMALL = '(max-width: 640px)';

/**
 * All signals over time, from the whole run down to single steps of the plant; two marks that measure, spectrum, XY. Samples
 * go from the worker to the paper and never through the reactive cycle.
 *
 * @fires close - the person is done with it
 * @fires pen-changed - detail 'gl' or 'flat': how the waves are drawn
 */
export class WaveBench extends LitElement {
  static override styles = [shared, waveStyles];
  static override properties = {
    session: { attribute: false },
    panes: { state: true },
    listed: { state: true },
    table: { state: true },
  };
  declare session: Session | undefined;
  declare private panes: readonly PaneName[];
  /** The list of signals is there. */ declare private listed: boolean;
  /** What stands under the paper. */ declare private table: TableName | undefined;

  private readonly desk = new Desk((what) => {
    if (what === 'lanes') this.paper?.resize(this.desk.plans.length);
    this.run.ask();
    this.requestUpdate();
  });
  private readonly run = new RunDesk(this.desk);
  private paper: PaperView | undefined;
  private gestures: Gestures | undefined;
  private readonly sizes = new ResizeObserver(() => {
    this.paper?.resize(this.desk.plans.length);
    this.run.ask();
  });
  private readonly theme = new MutationObserver(() => {
    this.paper?.recolor();
    this.run.touch();
    for (const pane of this.paneElements) pane.requestUpdate();
  });
  private frame = 0;
  private readonly renewed = (): void => this.another();

  constructor() {
    super();
    this.session = undefined;
    this.panes = [];
    this.listed = !matchMedia(SMALL).matches;
    this.table = 'readings';
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.theme.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme'] });
    this.frame = requestAnimationFrame(this.paint);
    if (this.hasUpdated) this.takePaper();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    cancelAnimationFrame(this.frame);
    this.theme.disconnect();
    this.sizes.disconnect();
    this.session?.removeEventListener('driver', this.renewed);
    this.paper?.dispose();
    this.paper = undefined;
  }

  /** Signals that somebody asked to see: they are picked when the waves open. */ subject: unknown;

  /** Takes the focus: the paper, where the keys are. */
  async enter(): Promise<void> {
    await this.updateComplete;
    if (Array.isArray(this.subject)) this.desk.pick(this.subject);
    this.paperElement?.focus();
  }

  protected override willUpdate(changed: PropertyValues): void {
    if (!changed.has('session')) return;
    (changed.get('session') as Session | undefined)?.removeEventListener('driver', this.renewed);
    this.session?.addEventListener('driver', this.renewed);
    this.another();
  }

  protected override firstUpdated(): void {
    this.takePaper();
  }

  protected override updated(): void {
    this.placeFlags();
    this.run.touch();
  }

  override render() {
    const { desk, panes } = this;
    const { cursors } = desk;
    const two = cursors[0] !== undefined && cursors[1] !== undefined;
    const key = (text: string, act: () => void, hint = '', off = false) =>
      html`<button class="key" title=${hint} ?disabled=${off} @click=${act}>${text}</button>`;
    const turn = (text: string, on: boolean, act: () => void) =>
      html`<button class="key" aria-pressed=${on} @click=${act}>${text}</button>`;
    const pane = (name: PaneName) => turn(WORDS[name], panes.includes(name), () => this.turnPane(name));
    return html`
      <div class="bar" role="toolbar" aria-label=${WORDS.title}>
        <h2>${WORDS.title}</h2>
        <button class="key list" aria-expanded=${this.listed} @click=${this.turnList}>${WORDS.signals}</button>
        ${turn(WORDS.live, desk.view.live, () => desk.turnLive())}
        <div class="group">${key(WORDS.back, () => desk.shift(-0.5), '\u2190')}${key(WORDS.forth, () => desk.shift(0.5), '\u2192')}</div>
        <div class="group">${key(WORDS.closer, () => desk.closer(), '+')}${key(WORDS.wider, () => desk.wider(), '\u2212')}${key(WORDS.wholeRun, () => desk.whole(), 'Home')}</div>
        <div class="group">${key(WORDS.mark1, () => this.mark(0), 'M')}${key(WORDS.mark2, () => this.mark(1), 'M')}${key(WORDS.toMarks, () => desk.toMarks(), '', !two)}${key(
          WORDS.clearMarks,
          () => desk.clearMarks(),
          '',
          cursors.every((at_s) => at_s === undefined),
        )}</div>
        <div class="group">${pane('spectrum')}${pane('xy')}</div>
        ${this.session?.news?.past?.ghost ? turn(WORDS.ghost, desk.ghost, () => desk.turnGhost()) : nothing}
        ${key(WORDS.save, this.save)}
        <button class="key close" @click=${() => this.dispatchEvent(new CustomEvent('close'))}>${WORDS.close}</button>
      </div>
      <div class=${this.listed ? 'body' : 'body bare'}>
        <signal-list .channels=${desk.channels} .picked=${desk.picked} ?open=${this.listed} @pick=${(e: CustomEvent) => desk.pick(e.detail)}
          @usual=${() => desk.pickUsual()} @keydown=${this.leaveList} @close=${this.turnList}></signal-list>
        <div class=${panes.length > 0 ? 'main two' : 'main'}>
          <div class="say">${this.sentence()}${this.tableNames()}</div>
          <div class="room">
            <div class="paper" tabindex="0" role="group" aria-label=${WORDS.paper} @keydown=${this.keyed}>
              <canvas class="under" aria-hidden="true"></canvas><div class="middle" aria-hidden="true"></div><canvas class="over" aria-hidden="true"></canvas>
              ${cursors.map((at_s, k) => this.flag(at_s, k))}
              ${desk.picked.length === 0 ? html`<p class="notice">${WORDS.nothing}</p>` : nothing}
            </div><canvas class="times" aria-hidden="true" hidden></canvas>
          </div>
          ${panes.length > 0 ? html`<div class="panes">${panes.map((name) => this.pane(name))}</div>` : nothing}
          ${this.table ? html`<div class=${this.run.readings ? 'tables read' : 'tables'} tabindex="0" role="region" aria-label=${WORDS.tables[this.table]}>${this.tableShown(this.table)}</div>` : nothing}
        </div>
      </div>
    `;
  }

  /** What may stand under the paper; without any of it the waves have the room. */
  private tableNames() {
    return html`<div class="group" role="group" aria-label=${WORDS.under}>${(
      Object.keys(WORDS.tables) as TableName[]
    ).map(
      (name) =>
        html`<button class="key" aria-pressed=${this.table === name} @click=${() => {
          this.table = this.table === name ? undefined : name;
        }}>${WORDS.tables[name]}</button>`,
    )}</div>`;
  }

  private tableShown(name: TableName) {
    const { desk, run } = this;
    if (name === 'scales')
      return scalesTable(this.paper?.lanes ?? [], desk.scales, (lane, ends) => desk.setScale(lane, ends));
    if (name === 'events') return happenedList(run.feed.marks, (at_s) => desk.goTo(at_s));
    const now = ({ channel }: Trace) => nowOf(this.session, channel);
    return readingsTable(desk.plans, run.readings, now, desk.cursors, desk);
  }

  private pane(name: PaneName) {
    const { past } = this.run;
    return name === 'spectrum'
      ? html`<wave-spectrum .past=${past} .infos=${this.desk.infos}></wave-spectrum>`
      : html`<wave-xy .past=${past} .all=${this.desk.channels}></wave-xy>`;
  }

  private get runs(): boolean {
    return this.session?.record.headValue('running') === 1;
  }

  /** What is in sight, in words. */
  private sentence() {
    const { desk, run } = this;
    const span_s = spanOf(desk.view);
    const samples = run.feed.samples(run.view);
    const how = !samples
      ? ''
      : samples.at_s
        ? WORDS.details
        : (samples.kind === 'values' ? WORDS.everyValue : WORDS.columns)(roundly(samples.step_s));
    const [one, two] = desk.cursors;
    const dt = one === undefined || two === undefined ? 0 : two - one;
    return html`<p><b>${WORDS.inSight(roundly(span_s))}</b>
      <span>${WORDS.magnified(widest(desk.held) / span_s)}</span>
      <span>${how}</span>${run.feed.noDetail ? html`<span>${WORDS.noDetail(run.feed.noDetail)}</span>` : nothing}${this.runs && span_s <= DETAIL_S ? html`<span>${WORDS.freezeForSteps}</span>` : nothing}
      ${dt === 0 ? nothing : html`<b>${WORDS.apart(duration(dt), hertz(1 / Math.abs(dt)))}</b>`}
      ${run.trouble ? html`<b role="alert">${run.trouble}</b>` : nothing}</p>`;
  }

  private flag(at_s: number | undefined, k: number) {
    if (at_s === undefined) return nothing;
    return html`<div class="flag" role="slider" tabindex="0" aria-label=${k === 0 ? WORDS.mark1 : WORDS.mark2}
      aria-valuemin="0" aria-valuemax=${this.desk.held.to_s} aria-valuenow=${at_s} aria-valuetext=${moment(at_s)}
      @keydown=${(e: KeyboardEvent) => this.flagKeyed(e, k)} @pointerdown=${grasp} @dblclick=${(e: Event) => e.stopPropagation()}
      @pointermove=${(e: PointerEvent) => {
        e.stopPropagation();
        const left = this.paperElement?.getBoundingClientRect().left ?? 0;
        const flag = e.currentTarget as HTMLElement;
        if (flag.hasPointerCapture(e.pointerId)) this.desk.setMark(k, this.timeAt(e.clientX - left));
      }}>${k + 1}</div>`;
  }

  private get paperElement(): HTMLElement | null {
    return this.renderRoot.querySelector('.paper');
  }

  private get paneElements(): (Pane & LitElement)[] {
    return [...this.renderRoot.querySelectorAll<Pane & LitElement>('.panes > *')];
  }

  private takePaper(): void {
    const element = this.paperElement;
    if (!element) return;
    this.paper = new PaperView(element, (kind) => {
      this.run.touch();
      this.dispatchEvent(new CustomEvent('pen-changed', { detail: kind, bubbles: true, composed: true }));
    });
    this.gestures ??= new Gestures(element, {
      drag: (by_px) => this.desk.scroll(-by_px * this.perPixel_s),
      zoom: (factor, x_px) => this.desk.magnify(factor, this.timeAt(x_px)),
      twice: (x_px) => this.desk.markNext(this.timeAt(x_px)),
    });
    if (element.parentElement) this.sizes.observe(element.parentElement);
    this.paper.resize(this.desk.plans.length);
  }

  /** Another bench is there. */
  private another(): void {
    if (!this.session) return;
    this.run.clear(this.session);
    this.paper?.forget();
    this.desk.take(this.session.info);
  }

  private readonly paint = (now_ms: number): void => {
    this.frame = requestAnimationFrame(this.paint);
    const { session, paper } = this;
    if (!session || !paper?.sheet) return;
    const { draws, words } = this.run.frame(session, paper, this.paneElements, now_ms);
    if (draws) this.placeFlags();
    if (words) this.requestUpdate();
  };

  private get perPixel_s(): number {
    return spanOf(this.run.view) / (this.paper?.area?.width ?? 1);
  }

  /** The moment at a place of the paper [px]. */
  private timeAt(x_px: number): number {
    return this.run.view.from_s + (x_px - (this.paper?.area?.left ?? 0)) * this.perPixel_s;
  }

  /** Where the pointer is on the paper, or the middle. */
  private get pointed_s(): number {
    const { area } = this.paper ?? {};
    const hover_px = this.gestures?.hover_px ?? Number.NaN;
    if (!area) return 0;
    return this.timeAt(hover_px >= area.left ? hover_px : area.left + area.width / 2);
  }

  /** Marks stand on the paper; outside of what is in sight they are not shown. */
  private placeFlags(): void {
    const { area } = this.paper ?? {};
    const flags = this.renderRoot.querySelectorAll<HTMLElement>('.flag');
    let next = 0;
    for (const at_s of this.desk.cursors) {
      if (at_s === undefined) continue;
      const flag = flags[next++];
      if (!flag || !area) continue;
      const x = area.left + (at_s - this.run.view.from_s) / this.perPixel_s;
      flag.hidden = !(x >= area.left - 1 && x <= area.left + area.width + 1);
      flag.style.left = `${x}px`;
    }
  }

  /** A mark goes to a third of the paper, where it can be seen and taken hold of. */
  private mark(which: number): void {
    const { from_s } = this.run.view;
    this.desk.setMark(which, from_s + (spanOf(this.run.view) * (which + 1)) / 3);
    void this.updateComplete.then(() => this.renderRoot.querySelectorAll<HTMLElement>('.flag')[which]?.focus());
  }

  private readonly keyed = (e: KeyboardEvent): void => {
    if (e.target !== this.paperElement || e.ctrlKey || e.altKey || e.metaKey) return;
    if (this.desk.key(e.key, this.pointed_s)) e.preventDefault();
  };

  private flagKeyed(e: KeyboardEvent, which: number): void {
    const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[e.key];
    if (by === undefined) return;
    e.preventDefault();
    e.stopPropagation();
    this.desk.nudge(which, by, this.perPixel_s);
  }

  private turnPane(name: PaneName): void {
    this.panes = this.panes.includes(name) ? this.panes.filter((each) => each !== name) : [...this.panes, name];
  }

  private readonly turnList = async (): Promise<void> => {
    this.listed = !this.listed;
    await this.updateComplete;
    if (this.listed) this.renderRoot.querySelector<SignalList>('signal-list')?.enter();
    else this.renderRoot.querySelector<HTMLElement>('.list')?.focus();
  };

  private readonly leaveList = (e: KeyboardEvent): void => {
    if (
      e.key === 'Backspace' &&
      this.listed &&
      matchMedia(SMALL).matches &&
      !(e.composedPath()[0] instanceof HTMLInputElement)
    ) {
      e.preventDefault(); // the list goes, the panel stays
      void this.turnList();
    }
  };

  private readonly save = (): void => {
    const { session, paper } = this;
    if (session && paper?.sheet)
      void savePicture(session.info, paper, pictureOf(this.run, session.info, session.record.headValue('lost_s')));
  };
}

/** A mark is held by the finger that took it, wherever it goes. */
function grasp(e: PointerEvent): void {
  e.stopPropagation();
  (e.currentTarget as HTMLElement).setPointerCapture(e.pointerId);
}

customElements.define('wave-bench', WaveBench);
declare global {
  interface HTMLElementTagNameMap {
    'wave-bench': WaveBench;
  }
}
