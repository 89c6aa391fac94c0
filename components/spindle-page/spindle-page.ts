import { html, LitElement, nothing } from 'lit';
import { type AheadFacts, NOTHING_AHEAD } from '../ahead-list/ahead-list.ts';
import { faultLine } from '../ahead-list/fault-line.ts';
import '../drill-view/drill-view.ts';
import '../hand-bar/hand-bar.ts';
import { type HeadFacts, WAITING } from '../head-bar/head-bar.ts';
import '../record-view/record-view.ts';
import { keepOverReload } from '../install/over-reload.ts';
import { keepTheme, openingNight, showTheme } from '../install/theme.ts';
import { askedSetUp, followLink, type Told } from '../keep-sheet/from-link.ts';
import { beats } from '../session/beat.ts';
import { Driver, type Place } from '../session/driver.ts';
import { Opening } from '../session/opening.ts';
import { bridgePlace } from '../session/places.ts';
import { Session } from '../session/session.ts';
import { DRAWING } from '../style/rows.ts';
import { shared } from '../style/shared.ts';
import '../time-rail/time-rail.ts';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { aheadFacts, headFacts, timeWords } from './facts.ts';
import { firstHint, hasDriven, isFirstVisit } from './first-hint.ts';
import { foot } from './foot.ts';
import { GamepadHand, type PadState, readPads } from './gamepad.ts';
import { Keys } from './keys.ts';
import { linkNotice } from './link-notice.ts';
import { Load } from './load.ts';
import { lostNotice } from './lost-notice.ts';
import { OpenPanel } from './open-panel.ts';
import { type Panel, stageOf } from './panels.ts';
import { ShownHands } from './shown-hands.ts';
import './sleep-notice.ts';
import { Speaker } from './speaker.ts';
import { pageStyles } from './spindle-page.styles.ts';
import { legend, REST } from './start.ts';
import { SHELL_WORDS as WORDS } from './words.ts';

/** Words renew this often [ms], waves at most this often. */
const WORDS_MS = 200;
const WAVES_MS = 30;
/** Pause between the first picture and the start of time [ms]. */
const SETTLE_MS = 300;
/** Times slower that everything is drawn while the worker loses time. */
const SLOWER = 3;
/** With reduced motion everything is a still that changes this often [ms]. */
const STILL_MS = 1000;

/** The whole page: one session, one animation frame for everything that moves, one place for keys. */
export class SpindlePage extends LitElement {
  static override styles = [shared, pageStyles];
  static override properties = {
    session: { state: true },
    trouble: { state: true },
    told: { state: true },
    head: { state: true },
    ahead: { state: true },
    clock: { state: true },
    running: { state: true },
    pace: { state: true },
    opening: { state: true },
    flat: { state: true },
    night: { state: true },
    letters: { state: true },
    spoken: { state: true },
    urgent: { state: true },
    hands: { state: true },
    locked: { state: true },
    loss: { state: true },
    padState: { state: true },
    fresh: { state: true },
  };
  declare private session: Session | undefined;
  declare private trouble: string;
  /** What came of the set-up that the page opened with. */ declare private told: Told | undefined;
  declare private head: HeadFacts | undefined;
  declare private ahead: AheadFacts | undefined;
  declare private clock: string;
  declare private running: boolean;
  declare private pace: number;
  declare private opening: Opening | undefined;
  declare private flat: boolean;
  declare private night: boolean;
  declare private letters: boolean;
  declare private spoken: string;
  declare private urgent: string;
  declare private hands: Session['hands'] | undefined;
  /** The trigger does not reach the controller. */ declare private locked: boolean;
  /** Why the controller is lost, '' while it is not. */ declare private loss: string;
  declare private padState: PadState;
  /** Nobody has driven in this browser yet. */ declare private fresh: boolean;

  /** Resolves when there is a session. */ private ready: Promise<void> | undefined;
  private driver: Driver | undefined;
  /** The part of the drill that was chosen last. */ private chosen: string | undefined;
  private readonly bridge: Place | undefined = bridgePlace();
  /** What is open over the stage. */
  private readonly panel = new OpenPanel({
    belongings: async () => {
      await this.ready;
      const { session, driver, bridge } = this;
      return session && driver ? { session, driver, bridge } : undefined;
    },
    draw: () => {
      this.requestUpdate();
      return this.updateComplete;
    },
    asked: (e) => Object.assign(this, stageOf(e, this, this.inner('drill-view'))),
    focusOpener: (id) =>
      id === 'compare' ? this.inner('time-rail')?.focusCompare() : this.inner('head-bar')?.focusPanel(id),
  });
  private readonly shownHands = new ShownHands(() => {
    this.hands = this.session && { ...this.session.hands };
  });
  private readonly speaker = new Speaker();
  private readonly reduced = matchMedia('(prefers-reduced-motion: reduce)');
  private readonly keys: Keys;
  private readonly pad = new GamepadHand({
    pull: (trigger) => this.moved({ trigger }),
    stop: () => this.stop(),
    told: (state) => {
      this.padState = state;
    },
  });
  private readonly sizes = new ResizeObserver(() => this.fit());
  private frame = 0;
  private words_ms = 0;
  private waves_ms = 0;
  private still_ms = 0;
  private drill_ms = 0;
  private readonly load = new Load();

  constructor() {
    super();
    this.trouble = '';
    this.told = undefined;
    this.clock = '0.000\u2009s';
    this.running = true;
    this.pace = 1;
    this.flat = false;
    this.night = openingNight();
    this.letters = true;
    this.spoken = '';
    this.urgent = '';
    this.locked = false;
    this.loss = '';
    this.padState = '';
    this.fresh = isFirstVisit();
    const page = this;
    this.keys = new Keys({
      stop: () => this.stop(),
      squeeze: (on) => this.moved({ trigger: on ? (this.inner('hand-bar')?.squeeze ?? 0.6) : 0 }),
      grip: (on) => this.moved({ grip_Nm: on ? (this.inner('hand-bar')?.grip_Nm ?? 6.5) : 0 }),
      direction: (direction) => this.moved({ direction }),
      gear: (gear) => this.moved({ gear }),
      step: (periods) => this.step(periods),
      faults: () => void this.panel.turn('faults', this.chosen),
      letGo: () => this.pad.letGo(),
      get lettersOn() {
        return page.letters;
      },
    });
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.showTheme();
    this.keys.connect();
    addEventListener('hashchange', this.follow);
    this.ready = this.begin();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.keys.disconnect();
    removeEventListener('hashchange', this.follow);
    this.sizes.disconnect();
    cancelAnimationFrame(this.frame);
    this.shownHands.end();
    this.session?.close();
  }

  protected override firstUpdated(): void {
    const record = this.inner('record-view');
    if (record) this.sizes.observe(record);
  }

  override render() {
    const { session, running, pace, panel } = this;
    return html`
      <head-bar role="banner" .facts=${this.head ?? WAITING} ?night=${this.night} .open=${panel.id} @panel=${(e: CustomEvent<Panel['id']>) => this.panel.turn(e.detail)} @stop=${() => this.stop()} @theme=${this.turnTheme}>
        ${faultLine(session, panel.hidesAhead, () => this.panel.turn('faults'))}
      </head-bar>
      <main>
        <hand-bar .session=${session} .hands=${this.hands ?? REST} ?locked=${this.locked} .pad=${this.padState} @touched=${() => this.endOpening()} @new-screw=${this.freshWood}></hand-bar>
        <time-rail .session=${session} ?running=${running} .pace=${pace} .say=${timeWords(session, running, pace)} @run=${() => this.run(true)} @freeze=${() => this.run(false)} @compare=${() => this.panel.turn('compare')} @pace=${(e: CustomEvent<number>) => this.setPace(e.detail)}></time-rail>
        <div class="cap rcap"><h2>${WORDS.record}</h2><small>${WORDS.recordDoes}</small>${legend}</div>
        <record-view .session=${session} @pen-changed=${this.penChanged}></record-view>
        <div class="cap ncap"><h2>${WORDS.now}</h2>${this.opening ? html`<small>${WORDS.demonstration}</small>` : nothing}<span class="clock">${this.clock}</span></div>
        <drill-view .session=${session} ?reduced=${this.reduced.matches} @part=${this.choosePart}></drill-view>
        <div class="cap acap"><h2>${WORDS.ahead}</h2><small>${WORDS.aheadDoes}</small></div>
        <ahead-list .session=${session} .facts=${this.ahead ?? NOTHING_AHEAD} @pace=${(e: CustomEvent<number>) => this.setPace(e.detail)}></ahead-list>
        ${this.fresh && session && !session.scene && !this.locked && !panel.element ? firstHint() : nothing}
        ${panel.element ?? nothing}
        ${this.loss && session && this.driver && !panel.element ? lostNotice(session, this.driver, () => this.panel.turn('who')) : nothing}
        ${this.trouble ? html`<div class="notice" role="alert"><b>${WORDS.notStarted}</b>${this.trouble}</div>` : nothing}
        ${this.told ? linkNotice(this.told, () => (this.told = undefined)) : nothing}<sleep-notice .session=${session}></sleep-notice>
      </main>
      ${foot({ session, flat: this.flat, letters: this.letters, keeps: this.bridge === undefined }, this.turnLetters)}
      <div class="away" aria-live="polite">${this.spoken}</div>
      <div class="away" aria-live="assertive">${this.urgent}</div>
    `;
  }

  protected override updated(): void {
    this.toggleAttribute('covered', this.panel.place === 'view');
  }

  private inner<K extends keyof HTMLElementTagNameMap>(tag: K): HTMLElementTagNameMap[K] | null {
    return this.renderRoot.querySelector(tag);
  }

  private async begin(): Promise<void> {
    try {
      const session = await Session.open();
      session.addEventListener('hands', (e) => {
        this.fresh &&= !hasDriven(e, session);
        this.shownHands.moved((e as CustomEvent).detail !== 'demonstration');
      });
      this.hands = { ...session.hands };
      session.addEventListener('stands', () => {
        this.endOpening();
        this.running = false;
      });
      session.addEventListener('driver', () => {
        this.endOpening();
        this.inner('drill-view')?.freshWood();
      });
      this.driver = new Driver(session);
      this.driver.addEventListener('change', () => this.endOpening());
      this.session = session;
      this.frame = requestAnimationFrame(this.paint);
      // Building the page takes the machine for a moment; time starts after it, so that none is lost to it.
      await new Promise((done) => setTimeout(done, SETTLE_MS));
      const first = !this.bridge && !(await this.follow());
      keepOverReload(session);
      await session.api.run();
      if (this.bridge) void this.panel.turn('who');
      else if (!this.reduced.matches && first) {
        const depth_m = () => session.record.now[SIGNAL_INDEX.screwDepth];
        this.opening = new Opening(session, depth_m, () => {
          this.opening = undefined;
        });
      }
    } catch (error) {
      this.trouble = error instanceof Error ? error.message : String(error);
    }
  }

  private readonly paint = (now_ms: number): void => {
    this.frame = requestAnimationFrame(this.paint);
    const { session } = this;
    if (!session) return;
    this.pad.look(readPads());
    if (this.reduced.matches) {
      if (now_ms - this.still_ms < STILL_MS) return;
      this.still_ms = now_ms;
    }
    // Where time gets lost, the plant in the worker needs the machine more than the drawing does.
    const slow = this.load.losesTime(session, now_ms) ? SLOWER : 1;
    const covered = this.hasAttribute('covered'); // a view stands in place of the stage
    if (!covered && (slow === 1 || now_ms - this.drill_ms >= slow * WAVES_MS)) {
      this.drill_ms = now_ms;
      this.inner('drill-view')?.paint(now_ms);
    }
    if (!covered && now_ms - this.waves_ms >= slow * WAVES_MS) {
      this.waves_ms = now_ms;
      this.inner('record-view')?.paint(now_ms);
    }
    if (!beats(now_ms, this.words_ms, WORDS_MS)) return;
    this.words_ms = now_ms;
    this.shownHands.along();
    const before = this.head?.state;
    this.head = headFacts(session, this.opening !== undefined);
    if (!covered) {
      this.ahead = aheadFacts(session, this.opening !== undefined);
      this.clock = `${session.record.now[SIGNAL_INDEX.time].toFixed(3)}\u2009s`;
    }
    this.locked = session.locked;
    this.loss = session.news?.loss ?? '';
    if (before !== this.head.state) this.speaker.tellState(this.head.state);
    else if (this.driver && !this.speaker.tellFaults(session, now_ms))
      this.speaker.tellLink(session, this.driver, now_ms);
    this.spoken = this.speaker.spoken;
    this.urgent = this.speaker.urgent;
    if (session.record.headValue('fault') && !this.trouble) void this.tellFault(session);
  };

  /** Sets up what the address says, or what the tab kept over a reload; false when neither says anything. */
  private readonly follow = async (e?: HashChangeEvent): Promise<boolean> => {
    const { session } = this;
    const asked = e ? askedSetUp(e.newURL, { fragment: '', board: false }) : askedSetUp(location.href);
    if (!session || !asked) return false;
    this.endOpening();
    const { told, pace } = await followLink(session, asked);
    if (told) this.panel.close(); // it would stand over what is told
    this.told = told;
    this.pace = pace;
    return true;
  };

  private async tellFault(session: Session): Promise<void> {
    this.trouble = `${await session.api.fault()} ${WORDS.notValid}`;
  }

  private stop(): void {
    this.panel.stop();
    this.endOpening();
    this.pad.bar();
    this.session?.stop();
  }

  private moved(hands: Parameters<Session['setHands']>[0]): void {
    this.endOpening();
    this.session?.setHands(hands);
  }

  private endOpening(): void {
    if (this.told?.calm) this.told = undefined; // read, or no longer of interest
    this.opening?.end(false);
  }

  private run(on: boolean): void {
    this.endOpening();
    this.running = on;
    void (on ? this.session?.api.run() : this.session?.api.freeze());
  }

  private step(periods: number): void {
    void this.inner('time-rail')?.step(periods);
  }

  private setPace(pace: number): void {
    this.endOpening();
    this.pace = pace;
    void this.session?.api.setPace(pace);
  }

  private readonly choosePart = (e: CustomEvent<{ readonly part: string }>): void => {
    this.chosen = e.detail.part;
    void this.panel.turn('faults', this.chosen);
  };

  private readonly freshWood = (): void => {
    this.inner('drill-view')?.freshWood();
  };

  private readonly turnLetters = (): void => {
    this.letters = !this.letters;
  };

  private readonly penChanged = (e: CustomEvent<string>): void => {
    this.flat = e.detail === 'flat';
  };

  private readonly turnTheme = (): void => {
    this.night = !this.night;
    keepTheme(this.night);
    this.showTheme();
  };

  private showTheme(): void {
    showTheme(this.night);
    this.inner('record-view')?.recolor();
  }

  /** Now keeps the shape of the drawing at the full height of the stage. */
  private fit(): void {
    const height = this.inner('record-view')?.clientHeight ?? 0;
    this.style.setProperty('--now-width', `${Math.round((height * DRAWING.width) / DRAWING.height)}px`);
  }
}

customElements.define('spindle-page', SpindlePage);
declare global {
  interface HTMLElementTagNameMap {
    'spindle-page': SpindlePage;
  }
}
