import { html, LitElement, nothing } from 'lit';
import { AT_REST, type HandsHeld, type Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { clutchAt, clutchNames, GRIPS_NM, nearest, PUSHES_N, WRISTS } from './choices.ts';
import { DIRECTION_SIGNS, gripPicture, loadPicture, triggerPicture } from './drawings.ts';
import './drum-wheel.ts';
import { handStyles } from './hand-bar.styles.ts';
import { WORDS } from './words.ts';

const DIRECTIONS = [
  { value: 1, name: WORDS.directions.in, key: 'I' },
  { value: 0, name: WORDS.directions.locked, key: 'L' },
  { value: -1, name: WORDS.directions.out, key: 'O' },
] as const;
/** A key squeezes to where the slider was last, but at least this far. */
const LEAST_SQUEEZE = 0.1;
/** Work in which a hole or a screw is left behind: new work can be put to the chuck. */
const USED_UP: Readonly<Record<string, string>> = {
  screw: WORDS.newScrew,
  wood: WORDS.newHole,
  steel: WORDS.newHole,
};

/**
 * What hands do: trigger, direction, gear, clutch, what the chuck meets and how hard it is pushed there, a hand on the chuck, and
 * how firmly the tool is held.
 *
 * @fires touched - a person moved something
 * @fires new-screw - new work was put to the chuck
 */
export class HandBar extends LitElement {
  static override styles = [shared, handStyles];
  static override properties = {
    session: { attribute: false },
    hands: { attribute: false },
    grip_Nm: { attribute: false },
    squeeze: { attribute: false },
    pad: { attribute: false },
    more: { type: Boolean, reflect: true },
    locked: { type: Boolean },
  };
  declare session: Session | undefined;
  /** Copy of the session's hands, renewed by the page. */ declare hands: Readonly<HandsHeld>;
  /** Torque that the hand holds when it grips. */ declare grip_Nm: number;
  /** Travel that holding T squeezes to. */ declare squeeze: number;
  /** A gamepad is there: its trigger works, or its layout is not the standard one. */ declare pad: '' | 'used' | 'odd';
  /** The trigger does not reach the controller. */ declare locked: boolean;
  /** On a narrow page: the controls that are not always in sight are open. */ declare more: boolean;

  /** The drawn trigger is held. */ private holding = false;

  constructor() {
    super();
    this.session = undefined;
    this.hands = AT_REST;
    this.grip_Nm = 6.5;
    this.squeeze = 0.6;
    this.pad = '';
    this.more = false;
    this.locked = false;
  }

  override render() {
    return html`${this.trigger()}${this.direction()}${this.gear()}
      <button class="key unfold" aria-expanded=${this.more} @click=${this.unfold}>${this.more ? WORDS.less : WORDS.more}</button>
      ${this.meets()}${this.grip()}${this.settings()}`;
  }

  private trigger() {
    const percent = Math.round(this.hands.trigger * 100);
    const hint = this.locked ? html`<em>${WORDS.notArmed}</em>` : html`<em>${WORDS.hold} <kbd>T</kbd></em>`;
    return html`
      <button class="hold" aria-label=${WORDS.squeeze(Math.round(this.squeeze * 100))} title=${WORDS.squeeze(Math.round(this.squeeze * 100))}
        ?disabled=${this.locked} @pointerdown=${this.press} @pointerup=${this.lift} @pointercancel=${this.lift} @lostpointercapture=${this.lift}
        @keydown=${this.pressKey} @keyup=${this.lift} @blur=${this.lift} @contextmenu=${stay}>${triggerPicture(this.hands.trigger)}</button>
      <div class="ctl pull">
        <label for="trigger"><span>${WORDS.trigger} ${hint}${this.padWords()}</span><b>${percent} %</b></label>
        <input id="trigger" type="range" min="0" max="100" step="1" .value=${String(percent)}
          style="--share:${percent}%" aria-valuetext=${WORDS.percent(percent)} aria-keyshortcuts="T" ?disabled=${this.locked}
          @input=${this.pull} @keydown=${this.pageKeys} />
      </div>`;
  }

  private padWords() {
    if (this.pad === '') return nothing;
    const used = this.pad === 'used';
    return html`<em class="pad" title=${used ? WORDS.padHelp : WORDS.padOdd}>${used ? WORDS.orPad : WORDS.padOdd}</em>`;
  }

  private direction() {
    return html`
      <div class="ctl">
        <span class="lab" id="dir">${WORDS.direction}</span>
        <div class="group rocker" role="group" aria-labelledby="dir">
          ${DIRECTIONS.map(
            ({
              value,
              name,
              key,
            }) => html`<button class="key" aria-pressed=${this.hands.direction === value} aria-keyshortcuts=${key}
              title=${WORDS.key(key)} @click=${() => this.set({ direction: value })}>${DIRECTION_SIGNS[value]}${name}</button>`,
          )}
        </div>
      </div>`;
  }

  private gear() {
    return html`
      <div class="ctl">
        <span class="lab" id="gear">${WORDS.gear}</span>
        <div class="group slide" role="group" aria-labelledby="gear">
          ${[1, 2].map(
            (g) => html`<button class="key" aria-pressed=${this.hands.gear === g} aria-keyshortcuts=${g}
              title="${WORDS.key(String(g))}: ${g === 1 ? WORDS.slow : WORDS.fast}" @click=${() => this.set({ gear: g })}>${g}</button>`,
          )}
        </div>
      </div>`;
  }

  private meets() {
    const { hands, session } = this;
    const loads = session?.info.loads ?? [];
    const fresh = USED_UP[loads[hands.meets]];
    return html`
      <div class="ctl extra">
        <span class="lab near" id="meets"><span>${WORDS.meets}</span><b>${WORDS.loads[loads[hands.meets]] ?? ''}</b></span>
        <div class="row">
          <div class="group tiles" role="group" aria-labelledby="meets">
            ${loads.map(
              (
                load,
                k,
              ) => html`<button class="key tile" aria-pressed=${hands.meets === k} aria-label=${WORDS.loads[load] ?? load}
                title=${WORDS.loads[load] ?? load} @click=${() => this.set({ meets: k })}>${loadPicture(load)}</button>`,
            )}
          </div>
          <button class="key fresh" ?disabled=${!fresh} @click=${this.newWork}>${fresh ?? WORDS.newScrew}</button>
        </div>
      </div>`;
  }

  private grip() {
    const k = nearest(GRIPS_NM, this.grip_Nm);
    return html`
      <div class="ctl extra">
        <span class="lab"><span>${WORDS.onChuck} <em>${WORDS.hold} <kbd>G</kbd></em></span></span>
        <div class="row">
          <button class="key gripper" aria-pressed=${this.hands.grip_Nm > 0} aria-keyshortcuts="G" @click=${this.toggleGrip}>${gripPicture}${WORDS.grip}</button>
          <drum-wheel .label=${WORDS.gripLabel} .says=${WORDS.gripSays(GRIPS_NM[k])} .names=${GRIPS_NM.map((nm) => `${nm} N·m`)} .index=${k}
            @turn=${(e: CustomEvent<number>) => this.chooseGrip(GRIPS_NM[e.detail])}></drum-wheel>
        </div>
      </div>`;
  }

  /** What is set once and then left alone. */
  private settings() {
    const { hands, session } = this;
    const steps = session?.info.clutch.settings_Nm ?? [];
    const names = clutchNames(steps.length, WORDS.locked);
    const clutch = hands.clutch === 0 ? steps.length : hands.clutch - 1;
    const says = hands.clutch === 0 ? WORDS.clutchLocked : WORDS.clutchSays(hands.clutch, steps[hands.clutch - 1] ?? 0);
    const push = nearest(PUSHES_N, hands.push_N);
    const wrist = WRISTS.findIndex((w) => w.firm === hands.wrist);
    return html`
      <div class="sets">${this.drum(WORDS.clutch, hands.clutch === 0 ? '' : `${(steps[hands.clutch - 1] ?? 0).toFixed(1)} N·m`, says, names, clutch, (k) => ({ clutch: clutchAt(k, steps.length) }))}
      ${this.drum(WORDS.push, '', WORDS.newtons(PUSHES_N[push]), PUSH_NAMES, push, (k) => ({ push_N: PUSHES_N[k] }))}
      ${this.drum(WORDS.wrist, '', WORDS.wristSays(WRISTS[wrist]?.name ?? ''), WRIST_NAMES, Math.max(0, wrist), (k) => ({ wrist: WRISTS[k].firm }))}</div>`;
  }

  private drum(
    label: string,
    said: string,
    says: string,
    names: readonly string[],
    index: number,
    to: (index: number) => Partial<HandsHeld>,
  ) {
    return html`<div class="ctl extra set"><span class="lab" aria-hidden="true"><span>${label}</span><b>${said}</b></span>
      <drum-wheel .label=${label} .says=${says} .names=${names} .index=${index} @turn=${(e: CustomEvent<number>) => this.set(to(e.detail))}></drum-wheel></div>`;
  }

  private set(hands: Partial<HandsHeld>): void {
    this.touched();
    this.session?.setHands(hands);
    if (hands.meets !== undefined) this.dispatchEvent(new CustomEvent('new-screw'));
  }

  private readonly press = (e: PointerEvent): void => {
    if (e.button !== 0) return;
    (e.currentTarget as HTMLElement).setPointerCapture(e.pointerId);
    this.holding = true;
    this.set({ trigger: this.squeeze });
  };

  private readonly pressKey = (e: KeyboardEvent): void => {
    if ((e.key !== 'Enter' && e.key !== ' ') || e.repeat) return;
    e.preventDefault();
    this.holding = true;
    this.set({ trigger: this.squeeze });
  };

  private readonly lift = (): void => {
    if (!this.holding) return;
    this.holding = false;
    this.set({ trigger: 0 });
  };

  private readonly pull = (e: Event): void => {
    const trigger = Number((e.target as HTMLInputElement).value) / 100;
    if (trigger >= LEAST_SQUEEZE) this.squeeze = trigger;
    this.set({ trigger });
  };

  /** Browsers differ in how far the Page keys go; here it is always a tenth. */
  private readonly pageKeys = (e: KeyboardEvent): void => {
    if (e.key !== 'PageUp' && e.key !== 'PageDown') return;
    e.preventDefault();
    const trigger = this.hands.trigger + (e.key === 'PageUp' ? 0.1 : -0.1);
    this.set({ trigger: Math.min(1, Math.max(0, trigger)) });
  };

  private readonly newWork = (): void => {
    this.touched();
    void this.session?.api.newScrew();
    this.dispatchEvent(new CustomEvent('new-screw'));
  };

  private readonly toggleGrip = (): void => {
    this.set({ grip_Nm: this.hands.grip_Nm > 0 ? 0 : this.grip_Nm });
  };

  private chooseGrip(torque_Nm: number): void {
    this.grip_Nm = torque_Nm;
    if (this.hands.grip_Nm > 0) this.set({ grip_Nm: torque_Nm });
  }

  private readonly unfold = (): void => {
    this.more = !this.more;
  };

  private touched(): void {
    this.dispatchEvent(new CustomEvent('touched'));
  }
}

const PUSH_NAMES = PUSHES_N.map((newtons) => `${newtons} N`);
const WRIST_NAMES = WRISTS.map(({ name }) => name);

/** A long press must not open a menu over the trigger. */
function stay(e: Event): void {
  e.preventDefault();
}

customElements.define('hand-bar', HandBar);
declare global {
  interface HTMLElementTagNameMap {
    'hand-bar': HandBar;
  }
}
