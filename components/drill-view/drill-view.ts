import { html, LitElement, type PropertyValues, svg } from 'lit';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { toDisplay } from '../../src/units/convert.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { barrel, chuckBody, fills, gearHousing, handle, jaws, leads, packCase } from './body.ts';
import { drillStyles } from './drill-view.styles.ts';
import { cells, directionDrawn, HandsMover, handDrawn, switches, triggerDrawn } from './hands-drawn.ts';
import { chooseInstant, type Instant } from './instant.ts';
import { describe, figure, type Readout, readouts } from './readouts.ts';
import { SectionMover, section } from './section.ts';
import { chuckRibs, gears, screw, TrainMover } from './train.ts';
import { depthChip, WoodMover, wood } from './wood.ts';

/** Numbers renew this often [ms], the description for those who cannot see it this often. */
const NUMBERS_MS = 200;
const DESCRIPTION_MS = 1000;
/** Smoothing of the measured time between two frames. */
const FRAME_SHARE = 0.1;

/**
 * The drill at this instant, one drawing. Moving parts are attributes set in one animation frame; only the numbers
 * beside them are reactive, five times a second.
 */
export class DrillView extends LitElement {
  static override styles = [shared, drillStyles];
  static override properties = {
    session: { attribute: false },
    reduced: { type: Boolean },
    numbers: { state: true },
    description: { state: true },
  };
  declare session: Session | undefined;
  /** Stills instead of motion: the section is always held to the rotor. */ declare reduced: boolean;
  declare private numbers: readonly Readout[];
  declare private description: string;

  private movers: { section: SectionMover; train: TrainMover; wood: WoodMover; hands: HandsMover } | undefined;
  private readonly instant: Instant = { angle_rad: 0, a_A: 0, b_A: 0, c_A: 0, held: false };
  private frame_ms = 16.7;
  private painted_ms = 0;
  private numbers_ms = 0;
  private described_ms = 0;

  constructor() {
    super();
    this.session = undefined;
    this.reduced = false;
    this.numbers = [];
    this.description = 'Cordless drill in section, nose down, at rest.';
  }

  /** A new screw was put to the wood. */
  freshWood(): void {
    this.movers?.wood.fresh();
  }

  /** Draws the latest sample; called by the page once a frame. */
  paint(now_ms: number): void {
    const { session, movers } = this;
    if (!session || !movers) return;
    const { record, hands, info } = session;
    const { now } = record;
    this.frame_ms += (Math.min(500, now_ms - this.painted_ms) - this.frame_ms) * FRAME_SHARE;
    this.painted_ms = now_ms;
    const perFrame_s = record.headValue('running') ? (this.frame_ms / 1000) * record.headValue('pace') : 0;
    chooseInstant(record, perFrame_s, this.reduced, this.instant);
    movers.section.move(this.instant.angle_rad, this.instant.a_A, this.instant.b_A, this.instant.c_A);
    movers.train.move(now[SIGNAL_INDEX.chuckAngle], now[SIGNAL_INDEX.chuckSpeed] * perFrame_s, hands.gear);
    movers.hands.move(now, hands.direction, hands.grip_Nm);
    movers.wood.move(now[SIGNAL_INDEX.screwDepth]);
    const meets = info.loads[hands.meets];
    if (this.dataset.meets !== meets) this.dataset.meets = meets;
    if (now_ms - this.numbers_ms < NUMBERS_MS) return;
    this.numbers_ms = now_ms;
    this.numbers = readouts(now, this.instant, hands.gear, hands.grip_Nm, info.polePairs);
    movers.wood.say(`${figure(toDisplay(now[SIGNAL_INDEX.screwDepth], 'mm'), 1)} mm`);
    if (now_ms - this.described_ms < DESCRIPTION_MS) return;
    this.described_ms = now_ms;
    this.description = describe(now, meets === 'screw');
  }

  protected override updated(changed: PropertyValues): void {
    if (!changed.has('session') || !this.session) return;
    const { info } = this.session;
    const root = this.renderRoot;
    this.movers = {
      section: new SectionMover(root),
      train: new TrainMover(root, info),
      wood: new WoodMover(root, info.screw.pitch_m),
      hands: new HandsMover(root),
    };
  }

  override render() {
    return html`
      <svg viewBox="0 0 500 800" role="img" aria-label=${this.description}>
        ${fills}${wood}${leads}${triggerDrawn}${handle}
        <g transform="translate(414 88) rotate(-31)">${packCase}${cells}</g>
        ${barrel}${switches}${directionDrawn}${gearHousing}${gears}${chuckBody}${chuckRibs}${jaws}${screw}${handDrawn}${section}
        ${svg`${depthChip}`}
      </svg>
      ${this.numbers.map(
        (r) => html`<div class="readout ${r.id}" aria-hidden="true" style="top:${r.top * 100}%;left:${r.left * 100}%">
          <b>${r.big}</b>${r.small.map((line) => html`<small>${line}</small>`)}</div>`,
      )}
    `;
  }
}

customElements.define('drill-view', DrillView);
declare global {
  interface HTMLElementTagNameMap {
    'drill-view': DrillView;
  }
}
