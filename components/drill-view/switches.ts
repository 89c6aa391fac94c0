/** The six switches on the handle: how long each conducts, how warm its leg is, and what a fault made of it. */
import { svg } from 'lit';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import type { LiveFault } from '../../worker/api.ts';
import { heatLines } from './motion.ts';

const { dutyA, gates, legHeatA } = SIGNAL_INDEX;
const SWITCH = 17;
const APART = 22;
const LOWER = 20;
/** Hatch lines for warmth stand under each leg, so far from each other. */
const LINE = 3;

/** Per leg the share of a PWM period in which its upper and its lower switch conduct. */
export const switches = svg`
  <g class="switches" transform="translate(264 116) rotate(-23)">
    ${['A', 'B', 'C'].map(
      (name, k) => svg`
      <g transform="translate(${k * APART} 0)">
        ${[0, LOWER].map(
          (top) => svg`
          <rect class="fet" y=${top} width=${SWITCH} height=${SWITCH}/>
          <rect class="on p${k}" y=${top} width=${SWITCH} height=${SWITCH}/>
          <path class="broken" d="M2 ${top + 2}L${SWITCH - 2} ${top + SWITCH - 2}M${SWITCH - 2} ${top + 2}L2 ${top + SWITCH - 2}"/>`,
        )}
        <path class="leg-warm"/>
        <text x=${SWITCH / 2} y="-5">${name}</text>
      </g>`,
    )}
  </g>
`;

/** What became of a switch: driven as told, for ever open, for ever shorted. */
type Lot = '' | 'open' | 'short';
const LOTS: Readonly<Record<string, readonly [side: number, lot: Lot]>> = {
  'high-switch-open': [0, 'open'],
  'low-switch-open': [1, 'open'],
  'high-switch-short': [0, 'short'],
  'low-switch-short': [1, 'short'],
};

export class SwitchMover {
  private readonly boxes: readonly SVGElement[];
  private readonly on: readonly SVGElement[];
  private readonly warm: readonly SVGElement[];
  private readonly lots: Lot[] = ['', '', '', '', '', ''];
  private readonly lines = [0, 0, 0];
  private told: readonly LiveFault[] = [];

  constructor(root: ParentNode) {
    this.boxes = [...root.querySelectorAll<SVGElement>('.fet')];
    this.on = [...root.querySelectorAll<SVGElement>('.on')];
    this.warm = [...root.querySelectorAll<SVGElement>('.leg-warm')];
  }

  move(now: Float64Array, faults: readonly LiveFault[]): void {
    if (faults !== this.told) this.take(faults);
    for (let leg = 0; leg < 3; leg++) {
      const driven = (now[gates] >> leg) & 1;
      const high = driven ? now[dutyA + leg] : 0;
      this.fill(2 * leg, high, 0);
      this.fill(2 * leg + 1, driven ? 1 - high : 0, LOWER);
      const lines = heatLines(now[legHeatA + leg]);
      if (lines === this.lines[leg]) continue;
      this.lines[leg] = lines;
      const d = Array.from({ length: lines }, (_, k) => `M0 ${2 * SWITCH + 6 + k * LINE}H${SWITCH}`).join('');
      this.warm[leg].setAttribute('d', d);
    }
  }

  /** Which switch an active fault has taken. */
  private take(faults: readonly LiveFault[]): void {
    this.told = faults;
    this.lots.fill('');
    for (const { fault, leg, state } of faults) {
      const lot = LOTS[fault];
      if (lot && leg && state === 'active') this.lots[2 * 'abc'.indexOf(leg) + lot[0]] = lot[1];
    }
    for (const [k, box] of this.boxes.entries()) box.setAttribute('data-lot', this.lots[k]);
  }

  private fill(k: number, share: number, top: number): void {
    const height = this.lots[k] === '' ? SWITCH * share : 0;
    this.on[k].setAttribute('height', height.toFixed(2));
    this.on[k].setAttribute('y', (top + SWITCH - height).toFixed(2));
  }
}
