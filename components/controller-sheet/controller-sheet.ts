import { html, LitElement, nothing } from 'lit';
import { CHOOSER_HELP, type SerialHub } from '../../src/links/web-serial-ask.ts';
import type { LinkNews } from '../../worker/api.ts';
import type { Driver, Place } from '../session/driver.ts';
import { chooseSerial, serialPorts, socketPlace } from '../session/places.ts';
import type { Session } from '../session/session.ts';
import { cautionStyles } from '../style/caution.ts';
import { shared } from '../style/shared.ts';
import { sheetFrame } from '../style/sheet.ts';
import { controllerStyles } from './controller-sheet.styles.ts';
import { needs } from './needs.ts';
import { timeTable } from './time-table.ts';
import { builtInName, CAUTION, capital, countsOf, reading, sentence, share, short, standing } from './words.ts';

/** An address to begin with; the port is the one of the examples. */
const FIRST_ADDRESS = 'ws://127.0.0.1:5301/';
/** Rates of a serial line [Bd]; a board on USB of its own takes any. */
const BAUDS = [115_200, 230_400, 460_800, 921_600, 1_000_000, 2_000_000, 3_000_000];
const FIRST_BAUD = 921_600;
/** Figures renew this often [ms]. */
const RENEW_MS = 200;
const LEVELS = ['', 'Warning: ', 'Failure: '];

/**
 * Who drives, and how the link to it does. It leaves the drill, head and hands of the page free, so that Stop and the
 * trigger stay at hand.
 *
 * @fires close - the person is done with it
 */
export class ControllerSheet extends LitElement {
  static override styles = [shared, sheetFrame, cautionStyles, controllerStyles];
  static override properties = {
    session: { attribute: false },
    driver: { attribute: false },
    controllers: { state: true },
    bridge: { attribute: false },
    asking: { state: true },
    address: { state: true },
    baud: { state: true },
    unchosen: { state: true },
  };
  declare session: Session;
  declare driver: Driver;
  /** Names of the built-in controllers. */ declare private controllers: readonly string[];
  /** The board that the bridge offers, which brought the page here. */ declare bridge: Place | undefined;
  /** Arming was asked for once. */ declare private asking: boolean;
  declare private address: string;
  declare private baud: number;
  /** Why no port was chosen. */ declare private unchosen: string;
  private readonly serial: SerialHub | string = serialPorts();
  private renewal: ReturnType<typeof setInterval> | undefined;
  private readonly changed = (): void => {
    this.asking = false;
    this.requestUpdate();
  };

  constructor() {
    super();
    this.controllers = [];
    this.bridge = undefined;
    this.asking = false;
    this.address = FIRST_ADDRESS;
    this.baud = FIRST_BAUD;
    this.unchosen = '';
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.renewal = setInterval(() => this.requestUpdate(), RENEW_MS);
    this.driver.addEventListener('change', this.changed);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    clearInterval(this.renewal);
    this.driver.removeEventListener('change', this.changed);
  }

  /** Takes the focus: what comes next for whoever opened it. */
  async enter(): Promise<void> {
    this.controllers = (await this.session.api.catalog()).controllers;
    await this.updateComplete;
    const next =
      this.renderRoot.querySelector<HTMLElement>('.next') ?? this.renderRoot.querySelector<HTMLElement>('.close');
    next?.focus();
  }

  override render() {
    return html`
      <header>
        <h2>Who drives</h2>
        <button class="key close" @click=${() => this.dispatchEvent(new CustomEvent('close'))}>Close <kbd aria-hidden="true">Backspace</kbd></button>
      </header>
      <div class="both">
        <section class="side" tabindex="0" aria-label="Choose who drives">${this.stand()}${this.choice()}</section>
        <section class="side" tabindex="0" aria-label="How the controller does">${this.link()}</section>
      </div>
    `;
  }

  private stand() {
    const { session, driver } = this;
    const { title, lines } = standing(session, driver);
    const lost = session.info.board !== undefined && session.news?.loss;
    return html`<div class="stand">
      <b>${title}</b>${lines.map((line) => html`<p>${line}</p>`)}
      ${
        driver.stage === 'opening' && driver.place
          ? html`<div class="row"><button class="key next" @click=${() => driver.disconnect()}>Give up</button></div>`
          : lost
            ? html`<div class="row"><button class="key firm next" @click=${() => driver.again()}>Connect again</button></div>`
            : session.info.board
              ? this.arming()
              : nothing
      }
    </div>`;
  }

  /** Asked twice: a press by mistake must not let a real power stage switch. */
  private arming() {
    const disconnect = html`<button class="key" @click=${() => this.driver.disconnect()}>Disconnect</button>`;
    if (!this.session.locked) {
      return html`<div class="row"><button class="key next" @click=${() => this.session.arm(false)}>Disarm</button>${disconnect}</div>`;
    }
    if (!this.asking) {
      return html`<div class="caution"><p>${CAUTION}</p></div><div class="row"><button class="key firm next" @click=${this.ask}>Arm</button>${disconnect}</div>`;
    }
    return html`<p class="ask">Is the power stage off? From now on the trigger reaches the board, and its outputs switch.</p>
      <div class="row"><button class="key firm yes" @click=${this.arm}>It is off: arm now</button><button class="key" @click=${this.changed}>Not yet</button></div>`;
  }

  private readonly ask = async (): Promise<void> => {
    this.asking = true;
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLButtonElement>('.yes')?.focus();
  };

  private readonly arm = async (): Promise<void> => {
    await this.session.arm(true);
    this.changed();
    await this.updateComplete;
    this.enter();
  };

  private link() {
    const { session } = this;
    const { news, info, record } = session;
    if (!news) return nothing;
    const { board } = info;
    const ratio = record.headValue('running') ? record.headValue('ratio') : 0;
    const life = ratio === 0 ? '' : `, ${share(ratio)} of life`;
    return html`
      ${board ? notes(news) : nothing}
      ${board ? figures(news, life) : nothing}
      ${timeTable(session)}
      ${board ? needs(info, board, news) : nothing}
      ${info.watch.length > 0 ? watched(info.watch, news) : nothing}
      ${board ? said(board) : nothing}
    `;
  }

  /** While a board drives, who else could is folded away. */
  private choice() {
    const { session, driver } = this;
    const settled = session.info.board !== undefined && !session.news?.loss && driver.stage === 'settled';
    if (!settled) return this.ways();
    return html`<details class="others"><summary>Let another one drive</summary>${this.ways()}</details>`;
  }

  private ways() {
    const { session, driver } = this;
    const opening = driver.stage === 'opening';
    const inProcess = session.info.board === undefined;
    return html`
      <div class="way">
        <h3>Built in</h3>
        <div class="stack" role="group" aria-label="Built-in controllers">${this.controllers.map((name) => {
          const drives = inProcess && session.info.controller === name;
          return html`<button class="key ${drives ? 'next' : ''}" aria-pressed=${drives} ?disabled=${opening} @click=${() => driver.useBuiltIn(name)}>${builtInName(name)}</button>`;
        })}</div>
      </div>
      <div class="way">
        <div class="caution"><p>${CAUTION}</p></div>
        ${this.bridge ? this.bridged(this.bridge, opening) : nothing}
        <h3>A board at an address</h3>
        <label for="address">WebSocket, one binary message a frame</label>
        <div class="row">
          <input id="address" type="text" inputmode="url" autocomplete="off" spellcheck="false" .value=${this.address} @input=${this.typed} @keydown=${this.entered} />
          <button class="key" ?disabled=${opening} @click=${this.connect}>Connect</button>
        </div>
      </div>
      <div class="way">
        <h3>A board on a serial port</h3>
        ${typeof this.serial === 'string' ? html`<p>${sentence(this.serial)}</p>` : this.serialWay(this.serial, opening)}
      </div>
    `;
  }

  private serialWay(hub: SerialHub, opening: boolean) {
    return html`
      <label for="baud">Rate of the line, both sides the same</label>
      <div class="row">
        <select id="baud" @change=${this.rated}>${BAUDS.map((baud) => html`<option value=${baud} ?selected=${baud === this.baud}>${baud} Bd</option>`)}</select>
        <button class="key" ?disabled=${opening} @click=${() => this.choose(hub)}>Choose a port and connect</button>
      </div>
      ${this.unchosen === '' ? nothing : html`<p class="unchosen">${this.unchosen}</p>`}
      <details><summary>The port is not in the list</summary>${CHOOSER_HELP.map((line) => html`<p>${line}</p>`)}</details>
    `;
  }

  /** Choosing comes first: the browser grants it only in the very handler of the click. */
  private choose(hub: SerialHub): void {
    chooseSerial(hub, () => this.baud).then(
      (place) => {
        this.unchosen = place ? '' : 'No port was chosen.';
        if (place) void this.driver.connect(place);
      },
      (error: Error) => {
        this.unchosen = sentence(error.message);
      },
    );
  }

  private readonly rated = (e: Event): void => {
    this.baud = Number((e.target as HTMLSelectElement).value);
  };

  private bridged(place: Place, opening: boolean) {
    const joined = this.driver.place === place && this.session.info.board && !this.session.news?.loss;
    return html`<h3>The board behind the bridge</h3><p>${capital(place.name)}. Nothing is sent to it before you connect; then the bridge wants a key pressed, too.</p>
      <div class="row"><button class="key firm ${joined ? '' : 'next'}" ?disabled=${opening || joined} @click=${() => this.driver.connect(place)}>Power stage is off: connect</button></div>`;
  }

  private readonly typed = (e: Event): void => {
    this.address = (e.target as HTMLInputElement).value;
  };

  private readonly entered = (e: KeyboardEvent): void => {
    if (e.key === 'Enter') this.connect();
  };

  private readonly connect = (): void => {
    void this.driver.connect(socketPlace(this.address.trim()));
  };
}

function said(board: NonNullable<Session['info']['board']>) {
  const rows = [
    ['Board', board.name],
    ['Number', board.uid],
    ['Firmware', board.firmware],
    ['Reached at', board.place],
  ];
  return html`<table><caption>As it introduced itself</caption><tbody>${rows.map(([what, text]) => html`<tr><th scope="row">${what}</th><td>${text}</td></tr>`)}</tbody></table>
    ${board.virtualTick ? nothing : html`<p class="dim">It keeps a clock of its own: while the drill is slower than life, its ramps and timers run ahead.</p>`}`;
}

function figures(news: LinkNews, life: string) {
  const { perSecond, trip_s, tripMost_s } = news;
  const asked = perSecond > 0;
  const rows = [
    ['Coupling', `lock-step${life}`],
    ['Exchanges a second', perSecond.toFixed(0)],
    ['Round trip', asked ? `${short(trip_s)}, longest ${short(tripMost_s)}` : '\u2013'],
    ['Answered so far', String(news.answered)],
  ];
  return html`<table><caption>Link</caption><tbody>${rows.map(([what, text]) => html`<tr><th scope="row">${what}</th><td>${text}</td></tr>`)}</tbody></table>
    <h3>Frames that went wrong, and the like</h3>
    <ul class="counts">${countsOf(news).map(({ what, count }) => html`<li class=${count > 0 ? 'bad' : ''}><span>${what}</span><b>${count}</b></li>`)}</ul>`;
}

function watched(watch: readonly { readonly name: string; readonly unit: string }[], news: LinkNews) {
  return html`<table class="name"><caption>Watch values</caption><tbody>${watch.map(
    ({ name, unit }, k) =>
      html`<tr><th scope="row">${name}</th><td class="number">${reading(news.watch[k] ?? Number.NaN)}</td><td class="unit">${unit}</td></tr>`,
  )}</tbody></table>`;
}

function notes(news: LinkNews) {
  if (news.notes.length === 0) return nothing;
  return html`<h3>Notes of the board, newest first</h3>
    <ul class="notes" tabindex="0" aria-label="Notes of the board">${news.notes.toReversed().map(({ level, text }) => html`<li><b>${LEVELS[level] ?? ''}</b>${text}</li>`)}</ul>`;
}

customElements.define('controller-sheet', ControllerSheet);
declare global {
  interface HTMLElementTagNameMap {
    'controller-sheet': ControllerSheet;
  }
}
