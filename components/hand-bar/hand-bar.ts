import { html, LitElement, nothing } from 'lit';
import { AT_REST, type HandsHeld, type Session } from '../session/session.ts';
import { shared } from '../style/shared.ts';
import { handStyles } from './hand-bar.styles.ts';

const DIRECTIONS = [
  { value: 1, name: 'In', key: 'I' },
  { value: 0, name: 'Locked', key: 'L' },
  { value: -1, name: 'Out', key: 'O' },
] as const;
const LOAD_NAMES: Readonly<Record<string, string>> = {
  nothing: 'Nothing',
  screw: 'Wood screw',
  stop: 'Hard stop',
  wood: 'Bit in wood',
  steel: 'Bit in steel',
  joint: 'Test joint',
};
/** A key squeezes to where the slider was last, but at least this far. */
const LEAST_SQUEEZE = 0.1;
/** Torques that a hand on the chuck may hold [N·m]: a light touch to two hands. */
const GRIPS_NM = [2, 4, 6.5, 8, 12, 30];

/**
 * What hands do: trigger, direction, gear, what the chuck meets, and a hand on the chuck.
 *
 * @fires touched - a person moved something
 * @fires new-screw - a new screw was put to the wood
 */
export class HandBar extends LitElement {
  static override styles = [shared, handStyles];
  static override properties = {
    session: { attribute: false },
    hands: { attribute: false },
    grip_Nm: { attribute: false },
    squeeze: { attribute: false },
    more: { type: Boolean, reflect: true },
    locked: { type: Boolean },
  };
  declare session: Session | undefined;
  /** Copy of the session's hands, renewed by the page. */ declare hands: Readonly<HandsHeld>;
  /** Torque that the hand holds when it grips. */ declare grip_Nm: number;
  /** Travel that holding T squeezes to. */ declare squeeze: number;
  /** The trigger does not reach the controller. */ declare locked: boolean;
  /** On a phone: the controls that are not always in sight are open. */ declare more: boolean;

  constructor() {
    super();
    this.session = undefined;
    this.hands = AT_REST;
    this.grip_Nm = 6.5;
    this.squeeze = 0.6;
    this.more = false;
    this.locked = false;
  }

  override render() {
    const { hands, session } = this;
    const percent = Math.round(hands.trigger * 100);
    return html`
      <div class="ctl pull">
        <label for="trigger"><span>Trigger ${this.locked ? html`<em>not armed</em>` : html`<em>hold <kbd>T</kbd></em>`}</span><b>${percent} %</b></label>
        <input id="trigger" type="range" min="0" max="100" step="1" .value=${String(percent)}
          style="--share:${percent}%" aria-valuetext="${percent} percent" aria-keyshortcuts="T" ?disabled=${this.locked}
          @input=${this.pull} @keydown=${this.pageKeys} />
      </div>
      <div class="ctl">
        <span class="lab" id="dir">Direction</span>
        <div class="group" role="group" aria-labelledby="dir">
          ${DIRECTIONS.map(
            (
              d,
            ) => html`<button class="key" aria-pressed=${hands.direction === d.value} aria-keyshortcuts=${d.key} title="Key ${d.key}"
            @click=${() => this.set({ direction: d.value })}>${d.name}</button>`,
          )}
        </div>
      </div>
      <div class="ctl">
        <span class="lab" id="gear">Gear</span>
        <div class="group" role="group" aria-labelledby="gear">
          ${[1, 2].map(
            (
              g,
            ) => html`<button class="key" aria-pressed=${hands.gear === g} aria-keyshortcuts=${g} title="Key ${g}: ${g === 1 ? 'slow and strong' : 'fast'}"
            @click=${() => this.set({ gear: g })}>${g}</button>`,
          )}
        </div>
      </div>
      <button class="key unfold" aria-expanded=${this.more} @click=${this.unfold}>${this.more ? 'Less' : 'More'}</button>
      <div class="ctl extra">
        <span class="lab" id="meets">Chuck meets</span>
        <div class="row">
          <div class="group" role="group" aria-labelledby="meets">
            ${(session?.info.loads ?? []).map(
              (load, k) => html`<button class="key" aria-pressed=${hands.meets === k}
              @click=${() => this.set({ meets: k })}>${LOAD_NAMES[load] ?? load}</button>`,
            )}
          </div>
          ${session?.info.loads[hands.meets] === 'screw' ? html`<button class="key fresh" @click=${this.newScrew}>New screw</button>` : nothing}
        </div>
      </div>
      <div class="ctl extra">
        <label for="grip"><span>Hand on the chuck <em>hold <kbd>G</kbd></em></span></label>
        <div class="row">
          <button class="key" aria-pressed=${hands.grip_Nm > 0} aria-keyshortcuts="G" @click=${this.toggleGrip}>Grip</button>
          <select id="grip" class="key" @change=${this.chooseGrip} aria-label="Torque that the hand holds">
            ${GRIPS_NM.map((nm) => html`<option value=${nm} ?selected=${nm === this.grip_Nm}>${nm} N·m</option>`)}
          </select>
        </div>
      </div>
    `;
  }

  private set(hands: Partial<HandsHeld>): void {
    this.touched();
    this.session?.setHands(hands);
    if (hands.meets !== undefined) this.dispatchEvent(new CustomEvent('new-screw'));
  }

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

  private readonly newScrew = (): void => {
    this.touched();
    void this.session?.api.newScrew();
    this.dispatchEvent(new CustomEvent('new-screw'));
  };

  private readonly toggleGrip = (): void => {
    this.set({ grip_Nm: this.hands.grip_Nm > 0 ? 0 : this.grip_Nm });
  };

  private readonly chooseGrip = (e: Event): void => {
    this.grip_Nm = Number((e.target as HTMLSelectElement).value);
    if (this.hands.grip_Nm > 0) this.set({ grip_Nm: this.grip_Nm });
  };

  private readonly unfold = (): void => {
    this.more = !this.more;
  };

  private touched(): void {
    this.dispatchEvent(new CustomEvent('touched'));
  }
}

customElements.define('hand-bar', HandBar);
declare global {
  interface HTMLElementTagNameMap {
    'hand-bar': HandBar;
  }
}
