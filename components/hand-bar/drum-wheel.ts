import { css, html, LitElement, svg } from 'lit';
import { shared } from '../style/shared.ts';

/** Half of the angle under which labels are seen, and between two of them [rad]. */
const SEEN = 1.25;
const APART = 1.1;
/** Radius and middle of the drum on its own sheet of 96 x 34. */
const RADIUS = 45;
const MIDDLE = 48;
/** Ribs around the drum. */
const RIBS = 22;
/** A finger moves so far for the next label [CSS px]. */
const STEP_PX = 24;

/**
 * A drum with labels that a thumb turns: drag it, turn the wheel of a mouse over it, press its sides, or use the arrow keys.
 *
 * @fires turn - detail: index of the label that now stands at the mark
 */
export class DrumWheel extends LitElement {
  static override styles = [
    shared,
    css`
      :host { display: block; position: relative; aspect-ratio: 96 / 34; height: 2.15rem; touch-action: pan-y; cursor: ew-resize; }
      svg { display: block; width: 100%; height: 100%; }
      input { position: absolute; inset: 0; width: 100%; height: 100%; margin: 0; opacity: 0; pointer-events: none; }
      :host(:focus-within) { outline: none; }
      input:focus-visible ~ svg .case { stroke-width: 3.4; }
      input:focus-visible ~ svg { outline: 3px solid var(--ink); outline-offset: 2px; }
      .drum-dark { stop-color: var(--steel-dark); } .drum-mid { stop-color: var(--steel); } .drum-lit { stop-color: var(--steel-lit); }
      .case { fill: url(#drum); stroke: var(--ink); stroke-width: 1.8; }
      .lane { fill: var(--paper); opacity: 0.94; } .lane-edge { fill: none; stroke: var(--ink); stroke-width: 0.9; }
      .ribs { fill: none; stroke: var(--ink); stroke-width: 1.1; opacity: 0.75; }
      .mark { fill: var(--ink); }
      text { font: 600 14.5px var(--text); fill: var(--ink); text-anchor: middle; }
      @media (pointer: coarse) { :host { height: 44px; } }
      @media (forced-colors: active) { :host { --ink: CanvasText; --paper: Canvas; --steel: Canvas; --steel-lit: Canvas; --steel-dark: Canvas; } }
    `,
  ];
  static override properties = {
    label: {},
    says: {},
    names: { attribute: false },
    index: { type: Number },
  };
  /** Name of the control. */ declare label: string;
  /** The present value, for those who hear it. */ declare says: string;
  /** Labels around the drum. */ declare names: readonly string[];
  declare index: number;

  private from_px = 0;
  private moved = false;

  constructor() {
    super();
    this.label = '';
    this.says = '';
    this.names = [];
    this.index = 0;
    this.addEventListener('pointerdown', this.press);
    this.addEventListener('pointermove', this.drag);
    this.addEventListener('pointerup', this.lift);
    this.addEventListener('wheel', this.roll, { passive: false });
  }

  override render() {
    const turned = this.index * APART;
    return html`
      <input type="range" min="0" max=${this.names.length - 1} step="1" .value=${String(this.index)} aria-label=${this.label}
        aria-valuetext=${this.says} @input=${this.key} />
      <svg viewBox="0 0 96 34" aria-hidden="true">
        <defs><linearGradient id="drum"><stop offset="0" class="drum-dark"/><stop offset=".22" class="drum-mid"/><stop offset=".42" class="drum-lit"/><stop offset=".7" class="drum-mid"/><stop offset="1" class="drum-dark"/></linearGradient></defs>
        <rect class="case" x="1.2" y="1.2" width="93.6" height="31.6" rx="3"/>
        <path class="ribs" d=${ribs(turned)}/>
        <rect class="lane" x="4" y="7.500" width="88" height="19"/><path class="lane-edge" d="M2 7.500H94M2 26.500H94"/>
        ${this.names.map((name, k) => labelAt(name, k * APART - turned))}
        <path class="mark" d="M43 1.500H53L48 7.500ZM43 32.500H53L48 26.500Z"/>
      </svg>
    `;
  }

  private turnTo(index: number): void {
    const next = Math.min(this.names.length - 1, Math.max(0, index));
    if (next === this.index) return;
    this.index = next;
    this.dispatchEvent(new CustomEvent('turn', { detail: next }));
  }

  private readonly key = (e: Event): void => {
    this.turnTo(Number((e.target as HTMLInputElement).value));
  };

  private readonly press = (e: PointerEvent): void => {
    if (e.button !== 0) return;
    this.setPointerCapture(e.pointerId);
    this.from_px = e.clientX;
    this.moved = false;
    this.renderRoot.querySelector('input')?.focus({ preventScroll: true });
    e.preventDefault();
  };

  private readonly drag = (e: PointerEvent): void => {
    if (!this.hasPointerCapture(e.pointerId)) return;
    const steps = Math.trunc((this.from_px - e.clientX) / STEP_PX);
    if (steps === 0) return;
    this.moved = true;
    this.from_px -= steps * STEP_PX;
    this.turnTo(this.index + steps);
  };

  /** A press that does not move turns the side that was pressed to the middle. */
  private readonly lift = (e: PointerEvent): void => {
    if (!this.hasPointerCapture(e.pointerId)) return;
    this.releasePointerCapture(e.pointerId);
    const { left, width } = this.getBoundingClientRect();
    const share = (e.clientX - left) / width;
    if (!this.moved && Math.abs(share - 0.5) > 0.15) this.turnTo(this.index + Math.sign(share - 0.5));
  };

  private readonly roll = (e: WheelEvent): void => {
    e.preventDefault();
    const along = Math.abs(e.deltaX) > Math.abs(e.deltaY) ? e.deltaX : e.deltaY;
    if (along !== 0) this.turnTo(this.index + Math.sign(along));
  };
}

/** A label on the drum, narrower toward the sides. */
function labelAt(name: string, angle: number) {
  if (Math.abs(angle) > SEEN) return svg``;
  const x = MIDDLE + RADIUS * Math.sin(angle);
  const c = Math.cos(angle);
  return svg`<text transform="translate(${x.toFixed(1)} 22.3) scale(${c.toFixed(3)} 1)" opacity=${(0.25 + 0.75 * c ** 3).toFixed(2)}>${name}</text>`;
}

/** Ribs above and below the labels. */
function ribs(turned: number): string {
  let d = '';
  for (let k = 0; k < RIBS; k++) {
    const a = (k / RIBS) * 2 * Math.PI - turned;
    if (Math.cos(a) < 0.1) continue;
    const x = (MIDDLE + RADIUS * Math.sin(a)).toFixed(1);
    d += `M${x} 2.500V7.500M${x} 26.500V31.500`;
  }
  return d;
}

customElements.define('drum-wheel', DrumWheel);
declare global {
  interface HTMLElementTagNameMap {
    'drum-wheel': DrumWheel;
  }
}
