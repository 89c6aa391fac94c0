import { css, html, LitElement, type PropertyValues, svg } from 'lit';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { displayUnit, toDisplay, unitSymbol } from '../../src/units/convert.ts';
import type { BenchInfo, Channel, Looked } from '../../worker/api.ts';
import type { Lane } from '../lessons/lesson.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { LESSON_WORDS as WORDS } from './words.ts';

const WIDTH = 600;
const HEIGHT = 100;
/** Most values a trace; more are drawn as lowest and highest. */
const POINTS = 600;
/** Room above the highest and below the lowest value, as a share. */
const ROOM = 0.08;
const LETTERS: Readonly<Record<string, string>> = { A: 'a', B: 'b', C: 'c' };

const isEstimate = (channel: string): boolean => channel === 'angle estimate';
const isAngle = (channel: string): boolean => isEstimate(channel) || channel === 'rotorAngle';
/** Letter of the phase that a signal belongs to, '' for none. */
const phaseOf = (channel: string): string => /[a-z]([ABC])$/.exec(channel)?.[1] ?? '';
const unitOf = ({ channels }: Lane): string => SIGNALS[SIGNAL_INDEX[channels[0] as SignalId]].show;

/**
 * A few signals of a lesson over time, lane by lane. Paths are set as attributes; what was read never becomes a property.
 * A true value is solid, a sensed one dotted, an estimate dashed.
 */
export class LessonTrace extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: block; }
      figure { margin: 0; }
      .lane { display: grid; grid-template-columns: minmax(0, 1fr) auto; border-top: 1px solid var(--rule); padding: 0.3rem 0; }
      .lane h4 { grid-column: 1 / -1; margin: 0; font: 600 1em/1.3 var(--text); display: flex; flex-wrap: wrap; gap: 0 0.9rem; }
      .lane h4 span { display: inline-flex; align-items: center; gap: 0.3rem; font-weight: 400; }
      .lane h4 i { width: 1.4rem; border-top: 3px solid; } .lane h4 i.e { border-top-style: dashed; }
      .plot { width: 100%; height: max(4.6rem, 9vh); display: block; background: var(--paper); }
      @media (min-height: 900px) { .plot { height: 13vh; } }
      .plot path { fill: none; stroke: var(--ink); stroke-width: 1.8; vector-effect: non-scaling-stroke; }
      .plot .a, .lane h4 i.a { stroke: var(--a); border-color: var(--a); } .plot .b, .lane h4 i.b { stroke: var(--b); border-color: var(--b); }
      .plot .c, .lane h4 i.c { stroke: var(--c); border-color: var(--c); }
      .plot .e, .lane h4 i.e { stroke: var(--e); stroke-dasharray: 7 4; border-color: var(--e); }
      .plot .sensed { stroke-dasharray: 2 3; } .lane h4 i.sensed { border-top-style: dotted; }
      .plot .zero { stroke: var(--edge); stroke-width: 1; }
      .ends { display: flex; flex-direction: column; justify-content: space-between; text-align: right; padding-left: 0.5rem; white-space: nowrap; min-width: 5.2rem; }
      figcaption { color: var(--ink2); border-top: 1px solid var(--rule); padding-top: 0.15rem; }
    `,
  ];
  static override properties = { lanes: { attribute: false }, veiled: { type: Boolean } };
  declare lanes: readonly Lane[];
  /** Leaves out everything true. */ declare veiled: boolean;

  constructor() {
    super();
    this.lanes = [];
    this.veiled = false;
  }

  override render() {
    return html`<figure aria-label=${WORDS.lanes}>
      ${this.lanes.map(
        (lane) => html`<div class="lane">
          <h4>${lane.name}${this.shown(lane).length > 1 || this.shown(lane).some(isEstimate) ? this.shown(lane).map(legend) : ''}</h4>
          <svg class="plot" viewBox="0 0 ${WIDTH} ${HEIGHT}" preserveAspectRatio="none" aria-hidden="true">
            ${svg`<path class="zero" />`}${this.shown(lane).map((channel) => svg`<path class="trace ${lookOf(channel)}" />`)}
          </svg>
          <div class="ends"><span></span><span></span></div>
        </div>`,
      )}
      <figcaption></figcaption>
    </figure>`;
  }

  /** What was drawn of another step, or of the truth, never stays. */
  protected override updated(changed: PropertyValues): void {
    if (!changed.has('lanes') && !this.veiled) return;
    for (const path of this.renderRoot.querySelectorAll('.plot path')) path.setAttribute('d', '');
    for (const text of this.renderRoot.querySelectorAll('.ends span, figcaption')) text.textContent = '';
  }

  /** Draws what lies in a span. */
  async draw(session: Session, from_s: number, to_s: number): Promise<void> {
    await this.updateComplete;
    const { lanes, veiled } = this;
    const looks = await Promise.all(
      lanes.map((lane) =>
        session.api.look({
          run: lane.run ?? 'now',
          channels: this.shown(lane).flatMap((channel) => channelOf(channel, session.info) ?? []),
          from_s,
          to_s,
          points: POINTS,
        }),
      ),
    );
    if (lanes !== this.lanes || veiled !== this.veiled) return; // another step, or the truth was hidden meanwhile
    for (const [k, element] of [...this.renderRoot.querySelectorAll('.lane')].entries())
      drawLane(element, lanes[k], this.shown(lanes[k]), looks[k]);
    const caption = this.renderRoot.querySelector('figcaption');
    if (caption) caption.textContent = WORDS.axis(from_s.toFixed(3), to_s.toFixed(3));
  }

  private shown({ channels }: Lane): readonly Lane['channels'][number][] {
    return this.veiled ? channels.filter(isEstimate) : channels;
  }
}

function channelOf(channel: string, info: BenchInfo): Channel | undefined {
  if (!isEstimate(channel)) return channel as SignalId;
  const at = info.watch.findIndex(({ signal }) => signal === 'rotorAngle');
  return at < 0 ? undefined : `watch ${at}`;
}

const isSensed = (channel: string): boolean =>
  !isEstimate(channel) && SIGNALS[SIGNAL_INDEX[channel as SignalId]].origin === 'sensed';
const lookOf = (channel: string): string =>
  isEstimate(channel) ? 'e' : `${LETTERS[phaseOf(channel)] ?? ''} ${isSensed(channel) ? 'sensed' : ''}`.trim();

const legend = (channel: string) => {
  const name = isEstimate(channel) ? 'E' : phaseOf(channel) || 'true';
  return html`<span><i class=${lookOf(channel)}></i>${name}</span>`;
};

function drawLane(element: Element, lane: Lane, shown: readonly string[], looked: Looked): void {
  const paths = element.querySelectorAll('.trace');
  const rows = looked.data.map((data, k) => (isAngle(shown[k]) ? data.map(wholeTurn) : data));
  const all = rows.flatMap((data) => [...data].filter((value) => !Number.isNaN(value)));
  const unit = unitOf(lane);
  const [least, most] = scaleOf(all, (lane.span ?? SPANS[unit] ?? 0) * displayUnit(unit).factor);
  const reach = most - least || 1;
  const y = (value: number) => HEIGHT * (1 - (ROOM + ((value - least) / reach) * (1 - 2 * ROOM)));
  const zero = least <= 0 && most >= 0 ? `M0 ${y(0).toFixed(2)}H${WIDTH}` : '';
  element.querySelector('.zero')?.setAttribute('d', zero);
  for (const [k, path] of paths.entries())
    path.setAttribute('d', rows[k] ? pathOf(looked, rows[k], y, isAngle(shown[k])) : '');
  const [top, bottom] = element.querySelectorAll('.ends span');
  const end = (value: number) => (all.length === 0 ? '' : numberText(Math.abs(value) < SEEN * reach ? 0 : value, unit));
  top.textContent = end(most);
  bottom.textContent = end(least);
}

/** Least height of a lane by its unit: what is but rounding shall not look like a wave. */
const SPANS: Readonly<Record<string, number>> = { A: 2, V: 1, rpm: 10, N·m: 0.05 };
/** What is less than this share of a lane cannot be seen in it. */
const SEEN = 1e-3;
/** Values that stay far from zero are shown without it, or nothing would be seen of how they change. */
const FAR = 0.5;
function scaleOf(all: readonly number[], span: number): [least: number, most: number] {
  const least = Math.min(...all);
  const most = Math.max(...all);
  if (all.length > 0 && least > FAR * most) return [least, Math.max(most, least + span)];
  const low = Math.min(0, least);
  return [low, Math.max(0, most, low + span)];
}

const TURN = 2 * Math.PI;
/** An angle between none and a whole turn: controllers count from minus half a turn. */
const wholeTurn = (angle: number): number => ((angle % TURN) + TURN) % TURN;

/** A line through every value, or through lowest and highest of every span; an angle that wraps is not joined. */
function pathOf({ kind }: Looked, data: Float32Array, y: (value: number) => number, wraps: boolean): string {
  const each = kind === 'values' ? 1 : 2;
  const last = Math.max(1, data.length / each - 1);
  let path = '';
  let before = Number.NaN;
  for (let k = 0; k < data.length; k++) {
    const value = data[k];
    if (!Number.isNaN(value)) {
      const joined = !Number.isNaN(before) && !(wraps && Math.abs(value - before) > Math.PI);
      path += `${joined ? 'L' : 'M'}${((Math.floor(k / each) / last) * WIDTH).toFixed(1)} ${y(value).toFixed(2)}`;
    }
    before = value;
  }
  return path;
}

/** A thousandth of what a lesson speaks of is nothing to see. */
const PLACES = 3;

/** Three figures and the unit that people read. */
export function numberText(value: number, unit: string): string {
  const shown = toDisplay(value, unit);
  const rounded = Math.abs(shown) >= 100 ? Math.round(shown) : Number(Number(shown.toPrecision(3)).toFixed(PLACES));
  return `${String(rounded === 0 ? 0 : rounded).replace('-', '\u2212')}${unit === '' || unit.startsWith('deg') ? '' : '\u00a0'}${unitSymbol(unit).replace(' ', '\u00a0')}`;
}

customElements.define('lesson-trace', LessonTrace);
declare global {
  interface HTMLElementTagNameMap {
    'lesson-trace': LessonTrace;
  }
}
