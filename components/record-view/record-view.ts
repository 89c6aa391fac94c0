import { html, LitElement, nothing, type PropertyValues } from 'lit';
import { styleMap } from 'lit/directives/style-map.js';
import type { Session } from '../session/session.ts';
import { ROWS, type Row } from '../style/rows.ts';
import { shared } from '../style/shared.ts';
import { type Palette, readPalette } from '../waves/palette.ts';
import { keepPen, type Pen } from '../waves/pen.ts';
import { paintBoard, paintGrid, paintTimes } from './board-paint.ts';
import { CloseUp } from './close-up.ts';
import { CLOSE_TICKS, type Layout, laneOf, layOut, prefersCloseUp, RUN_SPAN_S } from './layout.ts';
import { paintLetters } from './letters.ts';
import { closeReach, fitScales, runReach } from './reach.ts';
import { recordStyles } from './record-view.styles.ts';
import { RunTrack } from './run-track.ts';
import { asClose, chooseScale, type Lane, plain, type Scale, yOf } from './scale.ts';
import { paintTape } from './tape.ts';
import { drawLanes } from './traces.ts';

/** The close-up is a still that changes this often while time runs at life pace [ms]. */
const STILL_MS = 200;
/** From this pace down the close-up flows. */
const FLOW_PACE = 1 / 50;
/** A projector of 1024 px shows thin lines as gray: there lines are so many times wider. */
const PROJECTOR = matchMedia('(min-width: 641px) and (max-width: 1180px)');
const BOLD = 1.4;

/**
 * What happened: one row per part of the drill, seconds at the left, milliseconds at the right. Samples enter through
 * the session's record and never touch the reactive cycle; words change only with the size or a scale.
 *
 * The address hash `#card` draws with a graphics card that is imitated in software, too.
 *
 * @fires pen-changed - detail 'gl' or 'flat': how the waves are drawn
 */
export class RecordView extends LitElement {
  static override styles = [shared, recordStyles];
  static override properties = {
    session: { attribute: false },
    layout: { state: true },
    scales: { state: true },
    closeScales: { state: true },
  };
  declare session: Session | undefined;
  declare private layout: Layout | undefined;
  declare private scales: readonly Scale[];
  declare private closeScales: readonly Scale[];

  private pen: Pen | undefined;
  private giveBack: (() => void) | undefined;
  private under: CanvasRenderingContext2D | undefined;
  private over: CanvasRenderingContext2D | undefined;
  private palette: Palette | undefined;
  private readonly track = new RunTrack();
  private readonly closeUp = new CloseUp();
  private readonly runSince_ms = new Float64Array(ROWS.length);
  private readonly closeSince_ms = new Float64Array(ROWS.length);
  private family = 'sans-serif';
  private still_ms = 0;
  private readonly resizes = new ResizeObserver(() => this.fit());

  constructor() {
    super();
    this.session = undefined;
    this.layout = undefined;
    this.scales = ROWS.map((row) => chooseScale(row, 0, 0));
    this.closeScales = this.scales;
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.resizes.disconnect();
    this.giveBack?.();
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.resizes.observe(this);
    if (this.hasUpdated) this.takePen();
  }

  /** Day or night has changed. */
  recolor(): void {
    this.palette = undefined;
  }

  /** Draws the present state of the record; called by the page, at most once a frame. */
  paint(now_ms: number): void {
    const { session, layout } = this;
    if (!session || !layout || layout.width < 40) return;
    this.palette ??= readPalette();
    const { record } = session;
    const flows = record.headValue('pace') <= FLOW_PACE || record.headValue('running') === 0;
    if (flows || now_ms - this.still_ms >= STILL_MS) {
      this.still_ms = now_ms;
      this.closeUp.aim(record, !flows);
      this.rescale(now_ms);
    }
    const lanes = this.lanes(layout);
    const font = `${0.92 * layout.rem}px ${this.family}`;
    const g = blank(this.under, layout);
    if (g) {
      paintGrid(g, layout, lanes, this.palette);
      paintBoard(g, layout, record, this.palette);
      paintTimes(g, layout, record, this.closeUp, this.palette, font);
    }
    const over = blank(this.over, layout);
    if (over) {
      paintLetters(over, layout, lanes, this.closeUp, this.palette, `600 ${font}`);
      paintTape(over, layout, record, this.closeUp, session.news?.faultSpans ?? [], this.palette);
    }
    if (this.pen) drawLanes(this.pen, record, layout, lanes, this.track, this.closeUp, this.palette);
  }

  protected override firstUpdated(): void {
    this.under = this.context('canvas.under');
    this.over = this.context('canvas.over');
    this.takePen();
    this.fit();
  }

  private takePen(): void {
    const host = this.renderRoot.querySelector<HTMLElement>('.waves');
    if (host) this.giveBack = keepPen(host, (pen) => this.usePen(pen), location.hash === '#card');
  }

  protected override updated(changed: PropertyValues): void {
    if (changed.has('session')) this.fit();
  }

  override render() {
    const { layout } = this;
    return html`
      <canvas class="under" aria-hidden="true"></canvas>
      <div class="waves" aria-hidden="true"></div>
      <canvas class="over" aria-hidden="true"></canvas>
      ${layout ? this.words(layout) : nothing}
    `;
  }

  private words(layout: Layout) {
    const magnified = layout.both ? magnification(layout, this.session) : 0;
    return html`
      ${
        layout.both
          ? html`<div class="throat" style=${styleMap({ left: `${layout.runEnd}px`, width: `${layout.closeStart - layout.runEnd}px`, height: `${ROWS[ROWS.length - 1].from * 100}%` })}>
              <span>close-up × ${magnified}</span></div>`
          : nothing
      }
      ${ROWS.map((row, k) => this.rowWords(layout, row, k))}
    `;
  }

  private rowWords(layout: Layout, row: Row, k: number) {
    const lane: Lane = { row, ...laneOf(layout, k), scale: this.scales[k], close: this.closeScales[k] };
    const closeOnly = !layout.both && prefersCloseUp(row.id);
    return html`
      <div class="name" role="group" aria-label=${row.name} style=${styleMap({ top: `${row.from * 100}%`, width: layout.both ? `${layout.runEnd}px` : '100%' })}>
        <b>${row.name}</b> <span>${closeOnly ? row.close : row.run}</span>
      </div>
      ${
        layout.both && row.close
          ? html`<div class="said" style=${styleMap({ top: `${row.from * 100}%`, width: `${layout.width - layout.closeStart}px` })}>${row.close}</div>`
          : nothing
      }
      ${
        row.id === 'depth'
          ? depthWords(layout)
          : [
              ...labeled(layout, closeOnly ? asClose(lane) : lane).map((mark) =>
                markAt(closeOnly ? asClose(lane) : lane, mark, 0),
              ),
              ...(layout.both
                ? labeled(layout, asClose(lane)).map((mark) => markAt(asClose(lane), mark, layout.closeStart))
                : []),
            ]
      }
    `;
  }

  private context(selector: string): CanvasRenderingContext2D | undefined {
    return this.renderRoot.querySelector<HTMLCanvasElement>(selector)?.getContext('2d') ?? undefined;
  }

  private usePen(pen: Pen | undefined): void {
    this.pen = pen;
    if (!pen) return; // another view draws now
    this.dispatchEvent(new CustomEvent('pen-changed', { detail: pen.kind, bubbles: true, composed: true }));
    this.fit();
  }

  private fit(): void {
    const { clientWidth: width, clientHeight: height } = this;
    if (width === 0 || height === 0) return;
    const rem = Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
    this.family = getComputedStyle(this).fontFamily;
    this.layout = layOut(width, height, rem);
    for (const g of [this.under, this.over]) {
      if (!g) continue;
      g.canvas.width = Math.round(width * devicePixelRatio);
      g.canvas.height = Math.round(height * devicePixelRatio);
    }
    this.pen?.resize(width, height, devicePixelRatio, PROJECTOR.matches ? BOLD : 1);
  }

  private lanes(layout: Layout): Lane[] {
    return ROWS.map((row, k) => ({ row, ...laneOf(layout, k), scale: this.scales[k], close: this.closeScales[k] }));
  }

  private rescale(now_ms: number): void {
    const record = this.session?.record;
    if (!record) return;
    this.scales = fitScales(this.scales, (row) => runReach(record, row), this.runSince_ms, now_ms);
    this.closeScales = fitScales(this.closeScales, (row) => closeReach(this.closeUp, row), this.closeSince_ms, now_ms);
  }
}

/** How much wider a millisecond is in the close-up than in the run track, to two figures. */
function magnification(layout: Layout, session: Session | undefined): number {
  const tick_s = session?.record.tick_s ?? 5e-5;
  const ratio = RUN_SPAN_S / layout.runEnd / ((CLOSE_TICKS * tick_s) / (layout.width - layout.closeStart));
  return Number(ratio.toPrecision(2));
}

/** Marks that get a number: all of them, or the outer ones when they would touch. */
function labeled(layout: Layout, lane: Lane): readonly number[] {
  const { marks } = lane.scale;
  const apart = Math.abs(yOf(lane, marks[1]) - yOf(lane, marks[0]));
  return apart >= 1.02 * layout.rem ? marks : [marks[0], marks[marks.length - 1]];
}

/** An empty canvas in CSS pixels. */
function blank(g: CanvasRenderingContext2D | undefined, layout: Layout): CanvasRenderingContext2D | undefined {
  g?.setTransform(devicePixelRatio, 0, 0, devicePixelRatio, 0, 0);
  g?.clearRect(0, 0, layout.width, layout.height);
  return g;
}

/** Number of a mark at the left edge of its track. */
function markAt(lane: Lane, mark: number, left: number) {
  return html`<span class="mark" style=${styleMap({ top: `${yOf(lane, mark)}px`, left: `${left}px` })}>${plain(mark)}</span>`;
}

function depthWords(layout: Layout) {
  const at = (mm: number) => `${layout.tipY - mm * layout.perMm}px`;
  return html`
    <span class="mark wood" style=${styleMap({ top: at(60) })}>head</span>
    <span class="mark wood tip" style=${styleMap({ top: at(0) })}>tip</span>
    ${[0, 20, 40, 60].map((mm) => html`<span class="ruler" style=${styleMap({ top: at(mm) })}>${mm}</span>`)}
  `;
}

customElements.define('record-view', RecordView);
declare global {
  interface HTMLElementTagNameMap {
    'record-view': RecordView;
  }
}
