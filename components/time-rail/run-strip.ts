import { css, html, LitElement, nothing, svg } from 'lit';
import type { Mark } from '../../worker/api.ts';
import { shared } from '../style/shared.ts';
import { momentAt, placeOn } from './moment.ts';
import { RAIL_WORDS as WORDS } from './words.ts';

/** What the strip shows. */
export interface StripFacts {
  readonly from_s: number;
  readonly to_s: number;
  readonly now_s: number;
  /** The moment of the last sample: what is shown may be some news behind it. */ present_s(): number;
  readonly tick_s: number;
  /** Every period is kept from here on. */ readonly finest_s: number;
  readonly marks: readonly Mark[];
  /** Why nobody can go anywhere, '' when it can be done. */ readonly fixed: string;
}

const HEIGHT = 22;
/** Marks closer together than this are one stroke [px]. */
const APART_PX = 2;

/**
 * The whole run as one strip: how far it is kept, where the present stands, what happened. The arrows move by 1 ms, Page keys by
 * 100 ms, Home and End to its ends.
 *
 * @fires rewind - detail: moment [s]
 */
export class RunStrip extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: block; }
      .strip { position: relative; height: 24px; touch-action: none; cursor: pointer; }
      .strip[aria-disabled='true'] { cursor: default; }
      svg { display: block; width: 100%; height: ${HEIGHT}px; overflow: visible; }
      .base { stroke: var(--edge); stroke-width: 1; }
      .gone { fill: var(--envelope); }
      .done { stroke: var(--ink); stroke-width: 3; }
      .after { stroke: var(--ink2); stroke-width: 2; stroke-dasharray: 2 3; }
      .mark { stroke: var(--ink2); stroke-width: 1; }
      .mark.fault { stroke: var(--tape); stroke-width: 4; }
      .mark.trip, .mark.lost { stroke: var(--fail); stroke-width: 2; stroke-dasharray: 5 2 1 2; }
      .mark.freeze, .mark.rewind { stroke: var(--ink); stroke-width: 2; stroke-dasharray: 4 2; }
      .mark.slow { stroke: var(--fail); stroke-width: 3; stroke-dasharray: 2 2; }
      .now { fill: var(--ink); }
      @media (pointer: coarse) { .strip { height: 44px; padding-top: 11px; } }
    `,
  ];
  static override properties = { facts: { attribute: false }, width: { state: true } };
  declare facts: StripFacts | undefined;
  declare private width: number;
  private readonly sizes = new ResizeObserver(() => {
    this.width = this.clientWidth;
  });

  constructor() {
    super();
    this.width = 0;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.sizes.observe(this);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.sizes.disconnect();
  }

  override render() {
    const { facts, width } = this;
    if (!facts) return nothing;
    const { from_s, to_s, now_s, finest_s, fixed } = facts;
    const x = (time_s: number) => Math.round(placeOn(time_s, from_s, to_s, width) * 10) / 10;
    const middle = HEIGHT / 2;
    return html`
      <div class="strip" role="slider" tabindex="0" aria-label=${WORDS.strip} aria-orientation="horizontal" aria-disabled=${fixed !== ''}
        aria-valuemin=${from_s.toFixed(3)} aria-valuemax=${to_s.toFixed(3)} aria-valuenow=${now_s.toFixed(3)}
        aria-valuetext=${WORDS.stripSays(now_s.toFixed(3), to_s.toFixed(3))} @keydown=${this.key} @pointerdown=${this.press}>
        <svg viewBox="0 0 ${Math.max(1, width)} ${HEIGHT}" preserveAspectRatio="none" aria-hidden="true">
          <rect class="gone" x="0" y=${middle - 3} width=${Math.max(0, x(finest_s))} height="6" />
          <path class="base" d="M0 ${middle}H${width}" />
          <path class="done" d="M0 ${middle}H${x(now_s)}" />
          ${now_s < to_s ? svg`<path class="after" d="M${x(now_s)} ${middle}H${width}" />` : nothing}
          ${thinned(facts.marks, x).map(([at, kind]) => svg`<path class="mark ${kind}" d="M${at} 2V${HEIGHT - 2}" />`)}
          <path class="now" d="M${x(now_s)} ${middle}l-5 -9h10z" />
        </svg>
      </div>
    `;
  }

  private readonly key = (e: KeyboardEvent): void => {
    const { facts } = this;
    if (!facts) return;
    const by = STEPS[e.key];
    const { from_s, present_s } = facts;
    const to_s = Math.max(facts.to_s, present_s());
    const to = e.key === 'Home' ? from_s : e.key === 'End' ? to_s : by === undefined ? undefined : present_s() + by;
    if (to === undefined) return;
    e.preventDefault();
    this.go(Math.min(to_s, Math.max(from_s, to)));
  };

  private readonly press = (e: PointerEvent): void => {
    const { facts } = this;
    if (!facts || e.button !== 0) return;
    const box = (e.currentTarget as HTMLElement).getBoundingClientRect();
    this.go(momentAt(e.clientX - box.left, box.width, facts.from_s, facts.to_s, facts.tick_s));
  };

  private go(to_s: number): void {
    if (this.facts?.fixed === '') this.dispatchEvent(new CustomEvent('rewind', { detail: to_s }));
  }
}

const STEPS: Readonly<Record<string, number>> = {
  ArrowLeft: -1e-3,
  ArrowDown: -1e-3,
  ArrowRight: 1e-3,
  ArrowUp: 1e-3,
  PageDown: -0.1,
  PageUp: 0.1,
};

/** Places of marks; of those that would lie on each other the one that matters more. */
function thinned(marks: readonly Mark[], x: (time_s: number) => number): [number, Mark['kind']][] {
  const out: [number, Mark['kind']][] = [];
  for (const { at_s, kind } of marks) {
    const at = x(at_s);
    const last = out.at(-1);
    if (last && at - last[0] < APART_PX) {
      if (last[1] === 'deed') last[1] = kind;
    } else if (at >= 0) out.push([at, kind]);
  }
  return out;
}

customElements.define('run-strip', RunStrip);
declare global {
  interface HTMLElementTagNameMap {
    'run-strip': RunStrip;
  }
}
