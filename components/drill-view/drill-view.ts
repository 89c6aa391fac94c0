import { html, LitElement, nothing, type PropertyValues, svg } from 'lit';
import { SIGNAL_INDEX as S } from '../../src/signals.ts';
import { toDisplay } from '../../src/units/convert.ts';
import type { BenchInfo, LinkNews, LiveFault } from '../../worker/api.ts';
import { beats } from '../session/beat.ts';
import type { Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { barrel, chuckBody, clutchRing, fills, gearHousing, handle, jaws, leads, packCase } from './body.ts';
import { drillStyles } from './drill-view.styles.ts';
import { cells, directionDrawn, HandsMover, handDrawn, triggerDrawn } from './hands-drawn.ts';
import { chooseInstant, type Instant } from './instant.ts';
import { overlayStyles } from './overlay.styles.ts';
import { neighbor, PARTS, type PartId, partOfTrip } from './parts.ts';
import { describe, figure, type Readout, readouts, type Seen } from './readouts.ts';
import { Riding } from './riding.ts';
import { section } from './section.ts';
import { SectionMover } from './section-mover.ts';
import { SwitchMover, switches } from './switches.ts';
import { boxStyle, drawTags, type Tag, TapeMover, tagsOf, tapes } from './tape.ts';
import { chuckRibs, gears, screw, type Train, TrainMover } from './train.ts';
import { WoodMover, wood } from './wood.ts';
import { WORDS } from './words.ts';
import { otherWork, WorkMover } from './work.ts';
import { WristMover, wristDrawn } from './wrist.ts';

/** Numbers renew this often [ms], the description for those who cannot see it this often. */
const NUMBERS_MS = 200;
const DESCRIPTION_MS = 1000;
/** Smoothing of the measured time between two frames. */
const FRAME_SHARE = 0.1;
const NO_FAULTS: readonly LiveFault[] = [];
const NO_CELLS: LinkNews['cells'] = [];

/** Everything that moves by attributes. */
interface Movers {
  readonly info: BenchInfo;
  readonly section: SectionMover;
  readonly train: TrainMover;
  readonly wood: WoodMover;
  readonly work: WorkMover;
  readonly hands: HandsMover;
  readonly switches: SwitchMover;
  readonly wrist: WristMover;
  readonly tape: TapeMover;
}

/**
 * The drill at this instant, one drawing. Moving parts are attributes set in one animation frame; only the numbers
 * beside them are reactive, five times a second. Its parts can be chosen.
 *
 * @fires part - detail { part, places, row }: a person chose a part
 */
export class DrillView extends LitElement {
  static override styles = [shared, drillStyles, overlayStyles];
  static override properties = {
    session: { attribute: false },
    reduced: { type: Boolean },
    veiled: { type: Boolean, reflect: true },
    whole: { type: Boolean, reflect: true },
    named: { attribute: false },
    numbers: { state: true },
    description: { state: true },
    pairs: { state: true },
    series: { state: true },
    tags: { state: true },
    roving: { state: true },
  };
  declare session: Session | undefined;
  /** Stills instead of motion: the section is always held to the rotor. */ declare reduced: boolean;
  /** Where the rotor really is stays hidden; what the controller believes does not. */ declare veiled: boolean;
  /** All pole pairs instead of one. */ declare whole: boolean;
  /** The part that a lesson speaks of: ringed. */ declare named: PartId | undefined;
  declare private numbers: readonly Readout[];
  declare private description: string;
  declare private pairs: number;
  /** Cells in series. */ declare private series: number;
  declare private tags: readonly Tag[];
  /** Place in PARTS of the button that Tab reaches. */ declare private roving: number;

  private movers: Movers | undefined;
  private readonly instant: Instant = { angle_rad: 0, estimate_rad: Number.NaN, a_A: 0, b_A: 0, c_A: 0, held: false };
  private readonly train: Train = {
    chuck_rad: 0,
    rotor_rad: 0,
    chuckStep_rad: 0,
    motorStep_rad: 0,
    gear: 0,
    slip_rad: 0,
    bitRides: false,
  };
  private readonly bitRiding = new Riding();
  private readonly clutchRiding = new Riding();
  private frame_ms = 16.7;
  private painted_ms = 0;
  private shown_s = 0;
  private lastTick = 0;
  private lastTick_ms = 0;
  private numbers_ms = 0;
  private described_ms = 0;

  constructor() {
    super();
    this.session = undefined;
    this.reduced = false;
    this.veiled = false;
    this.whole = false;
    this.numbers = [];
    this.description = WORDS.atRest;
    this.pairs = 1;
    this.series = 5;
    this.tags = [];
    this.roving = 0;
  }

  /** A new screw was put to the wood. */
  freshWood(): void {
    this.movers?.wood.fresh();
    this.movers?.work.fresh();
  }

  /** The part that was chosen last. */
  get chosen(): PartId {
    return PARTS[this.roving].id;
  }

  /** Draws the latest sample; called by the page once a frame. */
  paint(now_ms: number): void {
    const { session, instant, train } = this;
    if (!session) return;
    if (session.info !== this.movers?.info) {
      this.rig(session.info);
      return;
    }
    const { movers } = this;
    const { record, hands, info } = session;
    const { now } = record;
    const faults = session.news?.faults ?? NO_FAULTS;
    const meets = info.loads[hands.meets];
    if (now[S.time] < this.shown_s) this.freshWood(); // went back: the hole is as deep as it is now
    this.shown_s = now[S.time];
    this.frame_ms += (Math.min(1000, now_ms - this.painted_ms) - this.frame_ms) * FRAME_SHARE;
    this.painted_ms = now_ms;
    const perFrame_s = record.headValue('running') ? (this.frame_ms / 1000) * record.headValue('pace') : 0;
    chooseInstant(record, perFrame_s, this.reduced, instant, this.shareOfPeriod(session, perFrame_s, now_ms));
    movers.section.move(instant, this.whole, now[S.windingHeat]);
    train.chuck_rad = now[S.chuckAngle];
    train.rotor_rad = instant.held ? now[S.rotorAngle] : instant.angle_rad;
    train.chuckStep_rad = now[S.chuckSpeed] * perFrame_s;
    train.motorStep_rad = now[S.motorSpeed] * perFrame_s;
    train.gear = now[S.gearEngaged];
    train.slip_rad = now[S.clutchSlip];
    train.bitRides = this.bitRiding.note(now[S.bitJumps], now[S.time]);
    const clutchRides = this.clutchRiding.note(now[S.clutchSlip], now[S.time]);
    movers.train.move(train, hands.clutch);
    movers.hands.move(now, hands.direction, hands.grip_Nm, session.news?.cells ?? NO_CELLS);
    movers.switches.move(now, faults);
    movers.wrist.move(now[S.bodyAngle], hands.wrist);
    movers.tape.move(faults);
    movers.wood.move(now[S.screwDepth], meets === 'screw');
    movers.work.move(meets, now[S.screwDepth], train.chuck_rad, train.chuckStep_rad);
    if (this.dataset.meets !== meets) this.dataset.meets = meets;
    if (!beats(now_ms, this.numbers_ms, NUMBERS_MS)) return;
    this.numbers_ms = now_ms;
    const { veiled } = this;
    this.say({ now, instant, hands, info, veiled, bitRides: train.bitRides, clutchRides }, faults, meets, now_ms);
  }

  /** In slow motion a period lasts for several frames: how far this frame is between the last two. The drawing is then up to a period late. */
  private shareOfPeriod({ record }: Session, perFrame_s: number, now_ms: number): number {
    if (record.endTick !== this.lastTick) {
      this.lastTick = record.endTick;
      this.lastTick_ms = now_ms;
    }
    if (perFrame_s === 0 || perFrame_s >= record.tick_s) return 1;
    return Math.min(1, (((now_ms - this.lastTick_ms) / 1000) * record.headValue('pace')) / record.tick_s);
  }

  /** What is read: numbers, tags, depth, and the sentence of the whole. */
  private say(seen: Seen, faults: readonly LiveFault[], meets: string, now_ms: number): void {
    const { now, info } = seen;
    this.numbers = readouts(seen);
    const reason = info.tripText[now[S.tripReason]] ?? `reason ${now[S.tripReason]}`;
    const trip =
      now[S.tripReason] === 0 ? undefined : { part: partOfTrip(reason), text: WORDS.trip(reason), tape: false };
    this.tags = tagsOf(faults, trip);
    this.movers?.wood.say(`${figure(toDisplay(now[S.screwDepth], 'mm'), 1)} mm`);
    if (now_ms - this.described_ms < DESCRIPTION_MS) return;
    this.described_ms = now_ms;
    this.description = describe(now, meets === 'screw', faults.filter((f) => f.state === 'active').length, seen.veiled);
  }

  /** Another drill may have other pole pairs, screws and clutches: the drawing is made for it. */
  private rig(info: BenchInfo): void {
    if (this.pairs !== info.polePairs || this.series !== info.cells) {
      this.pairs = info.polePairs;
      this.series = info.cells;
      return;
    }
    const root = this.renderRoot;
    if (!this.hasUpdated) return;
    this.movers = {
      info,
      section: new SectionMover(root, info.polePairs),
      train: new TrainMover(root, info),
      wood: new WoodMover(root, info.screw.pitch_m),
      work: new WorkMover(root, info),
      hands: new HandsMover(root),
      switches: new SwitchMover(root),
      wrist: new WristMover(root),
      tape: new TapeMover(root),
    };
  }

  protected override updated(changed: PropertyValues): void {
    // Section or pack were drawn anew: their old nodes are gone.
    if (changed.has('pairs') || changed.has('series')) this.movers = undefined;
  }

  override render() {
    return html`<div class="drawing">
      <svg viewBox="0 0 500 800" role="img" aria-label=${this.description}>
        ${fills}${wood}${leads}${wristDrawn}${otherWork}
        <g class="arm-side">${triggerDrawn}${handle}<g transform="translate(414 88) rotate(-31)">${packCase}${cells(this.series)}</g>${switches}${directionDrawn}</g>
        ${barrel}${gearHousing}${gears}${chuckBody}${clutchRing}${chuckRibs}${jaws}${screw}${handDrawn}${section(this.pairs)}${tapes}
        ${svg`<g class="chip"><rect x="-54" y="-14" width="108" height="28"/><text y="6.5">0.0 mm</text></g>`}
      </svg>
      ${this.numbers.map(
        (
          r,
        ) => html`<div class="readout ${r.id} ${r.alarm ? 'alarm' : ''}" aria-hidden="true" style="top:${r.top * 100}%;left:${r.left * 100}%">
          <b>${r.big}</b>${r.small.map((line) => html`<small>${line}</small>`)}</div>`,
      )}
      ${drawTags(this.tags)}
      <ul class="parts" aria-label=${WORDS.parts} @keydown=${this.rove}>
        ${PARTS.map(
          (
            part,
            k,
          ) => html`<li><button data-part=${part.id} class=${part.id === this.named ? 'named' : ''} style=${boxStyle(part)} tabindex=${k === this.roving ? 0 : -1} aria-haspopup="dialog"
            @click=${() => this.choose(k)} @focus=${() => this.reach(k)}><span>${WORDS.partNames[part.id]}</span></button></li>`,
        )}
      </ul>
      ${this.pairs > 1 ? html`<button class="key pairs" aria-pressed=${this.whole} @click=${this.turnWhole}>${WORDS.pairs(this.pairs)}</button>` : nothing}
    </div>`;
  }

  private choose(k: number): void {
    this.roving = k;
    const { id: part, places, row } = PARTS[k];
    this.dispatchEvent(new CustomEvent('part', { detail: { part, places, row }, bubbles: true, composed: true }));
  }

  private reach(k: number): void {
    this.roving = k;
  }

  private readonly rove = (e: KeyboardEvent): void => {
    const next = neighbor(this.roving, e.key);
    if (next === undefined || e.ctrlKey || e.altKey || e.metaKey) return;
    e.preventDefault();
    this.roving = next;
    this.renderRoot.querySelectorAll<HTMLButtonElement>('.parts button')[next].focus();
  };

  private readonly turnWhole = (): void => {
    this.whole = !this.whole;
  };
}

customElements.define('drill-view', DrillView);
declare global {
  interface HTMLElementTagNameMap {
    'drill-view': DrillView;
  }
}
