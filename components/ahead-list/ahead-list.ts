import { css, html, LitElement, nothing, svg, unsafeCSS } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import type { LiveFault } from '../../worker/api.ts';
import { capital } from '../controller-sheet/words.ts';
import { PARTS, partOf } from '../drill-view/parts.ts';
import { clearFaults, faultCount, liveFaults } from '../session/faults.ts';
import type { Session } from '../session/session.ts';
import { DRAWING, ROWS, type Row, TIP_Y, UNITS_PER_MM } from '../style/rows.ts';
import { shared } from '../style/shared.ts';
import { faultPin, faultPinStyles, oncePerPress, PinFocus } from './fault-pin.ts';
import { type Plan, planWords } from './plan.ts';
import { FAULT_WORDS } from './words.ts';

/** What the page knows about the near future. */
export interface AheadFacts {
  /** The opening demonstration is driving. */ readonly demonstration: boolean;
  /** Why the trigger moves nothing: a board waits to be armed, or the controller is lost. */
  readonly locked: '' | 'not armed' | 'lost';
  readonly hasScrew: boolean;
  readonly depth_mm: number;
  readonly seat_mm: number;
  /** Speed of the screw [mm/s], positive inward. */ readonly advance_mm_s: number;
  readonly gear: number;
  readonly pace: number;
  /** The scenario that drives, undefined when hands do. */ readonly plan: Plan | undefined;
}

/** Before the drill has said anything. */
export const NOTHING_AHEAD: AheadFacts = {
  demonstration: false,
  locked: '',
  hasScrew: false,
  depth_mm: 0,
  seat_mm: 58,
  advance_mm_s: 0,
  gear: 2,
  pace: 1,
  plan: undefined,
};

/** The row at the height of the part that a fault is in. */
function rowOf(fault: LiveFault): Row['id'] {
  const part = partOf(fault);
  return PARTS.find(({ id }) => id === part)?.row ?? 'axes';
}

/** The fault that stands uppermost. */
function firstInRows(faults: readonly LiveFault[]): LiveFault | undefined {
  return ROWS.map(({ id }) => faults.find((fault) => rowOf(fault) === id)).find(Boolean);
}

/** Seconds that the dashed line of the board looks ahead. */
const LOOK_S = 4;

/**
 * What is still to come. A scenario has a plan; while a person drives by hand there is none, and this says so, offers what is worth trying at the
 * height of the part it touches, and carries the board on as it would go at its present speed.
 *
 * @fires pace - detail: virtual seconds per wall second
 * @fires gear - detail: 1 or 2
 */
export class AheadList extends LitElement {
  static override styles = [
    shared,
    faultPinStyles,
    css`
      :host { display: block; position: relative; background: var(--ground); border-left: 1px dashed var(--edge); overflow: hidden; }
      /* Each row is as high as that of the stage, and higher when what stands in it needs more: then those below give way. */
      .pins {
        position: relative; display: grid; height: 100%; overflow: hidden auto; grid-template-columns: minmax(0, 1fr);
        grid-template-rows: ${unsafeCSS(ROWS.map(({ from, to }) => `minmax(min-content, ${((to - from) * 100).toFixed(2)}fr)`).join(' '))};
      }
      .pin { position: relative; border-top: 1px solid var(--rule); padding: 0.35rem 0.7rem 0.3rem 1.9rem; line-height: 1.24; overflow-wrap: anywhere; }
      .pin:first-of-type { border-top: 0; }
      .pin::before { content: ''; position: absolute; left: 0; width: 0.9rem; top: 1rem; border-top: 1.4px dashed var(--ink2); }
      .pin::after {
        content: ''; position: absolute; left: 0.9rem; top: 0.72rem; width: 0.55rem; height: 0.55rem; border: 1.6px solid var(--ink2);
        border-radius: 50%; background: var(--ground);
      }
      .pins:focus-visible { outline-offset: -3px; }
      .cell { min-width: 0; } .cell .fault { padding-left: 1.4rem; } .cell > * { background: var(--ground); } .fault::before, .fault::after { display: none; }
      .all { display: flex; align-items: center; justify-content: space-between; gap: 0.5rem; padding: 0.25rem 0.7rem; border-top: 1px solid var(--rule); }
      .all .key { min-height: 24px; padding: 0.05rem 0.6rem; } .all b { font-weight: 600; }
      .refusal { margin: 0; padding: 0 0.7rem 0.3rem; color: var(--fail); font-weight: 600; overflow-wrap: anywhere; }
      @media (pointer: coarse) { .all .key { min-height: 44px; } }
      /* The course of the board passes under the words. */
      .pin > b, .pin > span { background: var(--ground); width: fit-content; }
      .pin b { font-weight: 600; display: block; }
      .pin span { display: block; color: var(--ink2); font-size: 0.92rem; }
      .pin.now::after { background: var(--ink); border-color: var(--ink); }
      .inline { background: none; border: 0; padding: 0; font-weight: 600; min-height: 24px; color: var(--ink); text-decoration: underline; text-underline-offset: 3px; }
      .inline:hover { text-decoration-thickness: 2px; }
      svg { position: absolute; left: 0; width: 100%; height: 100%; top: 0; pointer-events: none; }
      svg path { fill: none; stroke: var(--ink); stroke-width: 1.6; stroke-dasharray: 7 4; vector-effect: non-scaling-stroke; }
      svg path.leg { stroke: var(--ink2); stroke-width: 1; }
      @media (max-width: 640px) {
        :host { border-left: 0; border-top: 1px dashed var(--edge); padding-bottom: 0.6rem; } svg { display: none; }
        .pins { display: block; height: auto; }
      }
    `,
  ];
  static override properties = { session: { attribute: false }, facts: { attribute: false }, refusal: { state: true } };
  declare session: Session | undefined;
  declare facts: AheadFacts;
  /** Why the last act on a fault was refused. */ declare private refusal: string;
  private readonly focused = new PinFocus();

  constructor() {
    super();
    this.facts = NOTHING_AHEAD;
    this.refusal = '';
    this.addEventListener('keydown', oncePerPress);
  }

  override render() {
    const f = this.facts;
    const faults = this.session ? liveFaults(this.session) : [];
    const taken = new Set(faults.map(rowOf));
    const hint = (row: Row['id'], content: unknown) => (taken.has(row) ? nothing : this.pin(row, content));
    return html`
      ${this.course()}
      <div class="pins" tabindex=${faults.length > 0 ? 0 : -1} role=${faults.length > 0 ? 'region' : nothing} aria-label=${faults.length > 0 ? FAULT_WORDS.region : nothing}>
      ${hint('pack', this.first())}
      ${
        faults.length === 0
          ? hint(
              'phase',
              html`<b>${FAULT_WORDS.none}</b><span>${FAULT_WORDS.noneDoes[0]}<kbd>F</kbd>${FAULT_WORDS.noneDoes[1]}</span>`,
            )
          : nothing
      }
      ${hint(
        'angle',
        html`<b>See the rotor turn</b><span>${
          f.pace === 0.001
            ? 'While it drives, arrow ψ turns with the magnets, and i follows in steps of 60°.'
            : html`At life pace it is held still. While it drives, <button class="inline" @click=${() => this.tell('pace', 0.001)}>slow to 1/1000</button>`
        }</span>`,
      )}
      ${hint('torque', html`<b>Grip the chuck</b><span>Hold <kbd>G</kbd>, once in each gear.</span>`)}
      ${hint('depth', html`<b>${this.seat()}</b>${f.hasScrew ? html`<span>head at ${f.seat_mm.toFixed(0)} mm</span>` : nothing}`)}
      ${this.faultPins(faults)}
      </div>
    `;
  }

  /** Faults, each in the row of its part; what is said about all of them stands over the first. */
  private faultPins(faults: readonly LiveFault[]) {
    const { session } = this;
    if (!session) return nothing;
    return ROWS.map((row, k) => {
      const here = faults.filter((fault) => rowOf(fault) === row.id);
      if (here.length === 0) return nothing;
      const first = here[0] === firstInRows(faults);
      return html`<div class="cell" style="grid-row:${k + 1}">
        ${first ? this.faultHead(faults) : nothing}
        ${repeat(
          here,
          ({ handle }) => handle,
          (fault) => html`<div class="pin fault ${fault.state}">${faultPin(session, fault, this.hooks)}</div>`,
        )}
      </div>`;
    });
  }

  private faultHead(faults: readonly LiveFault[]) {
    return html`<div class="all"><b>${capital(faultCount(faults))}</b><button class="key" @click=${this.clearAll}>${FAULT_WORDS.clearAll}</button></div>
      ${this.refusal ? html`<p class="refusal" role="alert">${this.refusal}</p>` : nothing}`;
  }

  private readonly clearAll = async (): Promise<void> => {
    this.refusal = '';
    if (this.session) await clearFaults(this.session);
  };

  private readonly hooks = {
    refused: (words: string) => {
      this.refusal = words && `${capital(words)}.`;
    },
  };

  protected override willUpdate(): void {
    this.focused.before(this.shadowRoot);
  }

  protected override updated(): void {
    this.focused.after(this.shadowRoot, '.pins');
  }

  /** What to do first. */
  private first() {
    const { demonstration, locked, plan } = this.facts;
    if (plan) return html`<b>${plan.title}</b><span>${planWords(plan)}</span>`;
    if (demonstration) {
      return html`<b>Opening demonstration</b><span>The built-in controller drives a screw into a garden bench. Squeeze the trigger, or touch any control, to take over.</span>`;
    }
    if (locked === 'not armed') {
      return html`<b>Arm the board</b><span>Until then the trigger does not reach it. Press its name in the head.</span>`;
    }
    if (locked === 'lost') {
      return html`<b>No controller</b><span>Press its name in the head to connect again, or to let another one drive.</span>`;
    }
    return html`<b>Squeeze the trigger</b><span>You drive by hand; there is no plan. Hold <kbd>T</kbd>, or pull the slider. Let go, and the supply contact opens.</span>`;
  }

  private pin(row: string, content: unknown, now = false) {
    const at = ROWS.findIndex(({ id }) => id === row);
    return html`<div class="pin ${now ? 'now' : ''}" style="grid-row:${at + 1}">${content}</div>`;
  }

  /** When the head meets the board, at the speed of this moment. */
  private seat(): string {
    const f = this.facts;
    if (!f.hasScrew) return 'No screw in the chuck';
    if (f.depth_mm >= f.seat_mm) return 'Seated';
    if (f.advance_mm_s > 0.5) return `Seats in ${((f.seat_mm - f.depth_mm) / f.advance_mm_s).toFixed(1)} s`;
    if (f.advance_mm_s < -0.5) return `Out in ${(f.depth_mm / -f.advance_mm_s).toFixed(1)} s`;
    return 'Screw waits';
  }

  /** Dashed course of slat and leg if the speed stayed as it is. */
  private course() {
    const f = this.facts;
    if (!f.hasScrew) return nothing;
    const stop = f.advance_mm_s > 0 ? f.seat_mm : 0;
    const turn_s = Math.abs(f.advance_mm_s) > 0.5 ? Math.max(0, (stop - f.depth_mm) / f.advance_mm_s) : 0;
    const end_s = Math.min(LOOK_S, turn_s);
    const y = (mm: number) => TIP_Y - mm * UNITS_PER_MM;
    const y0 = y(f.depth_mm);
    const y1 = y(f.depth_mm + f.advance_mm_s * end_s);
    const x1 = (end_s / LOOK_S) * 100;
    const course = (down: number) => `M0 ${y0 + down}L${x1} ${y1 + down}H100`;
    return html`<svg viewBox="0 0 100 ${DRAWING.height}" preserveAspectRatio="none" aria-hidden="true">
      ${svg`<path d=${course(0)}/><path class="leg" d=${course(28 * UNITS_PER_MM)}/>`}
    </svg>`;
  }

  private tell(name: string, detail: number): void {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }
}

customElements.define('ahead-list', AheadList);
declare global {
  interface HTMLElementTagNameMap {
    'ahead-list': AheadList;
  }
}
