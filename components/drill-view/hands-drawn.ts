/** What hands do to the drill, and what the supply has left: trigger, direction, pack cells, gripping hand. */
import { svg } from 'lit';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import type { LinkNews } from '../../worker/api.ts';

const { trigger, chuckSpeed } = SIGNAL_INDEX;

const CELLS_TOP = -52;
const CELLS_HIGH = 107.5;
/** Width of a cell of mean capacity, and of the widest that is drawn. */
const CELL_WIDTH = 40;
const CELL_WIDEST = 43;
/** Way of the trigger, toward the handle, at full travel. */
const TRAVEL = 15;

export const triggerDrawn = svg`
  <g class="trigger"><path class="shell dark" d="M284 199L338 171C349 191 342 217 323 234C305 233 291 219 284 199Z"/><path class="thin" d="M296 205L334 185"/></g>
`;

export const directionDrawn = svg`
  <g class="direction" transform="translate(366 184)"><circle r="13"/><path/></g>
`;

/** As many cells as the pack has in series; a weak one is short, and what is left in it fills it. */
export const cells = (count: number) => {
  const apart = CELLS_HIGH / count;
  const high = apart - Math.min(4.5, apart * 0.25);
  return svg`<g class="cells">${Array.from({ length: count }, (_, k) => {
    const y = (CELLS_TOP + k * apart).toFixed(2);
    return svg`
      <rect class="cell" x="-24" y=${y} width=${CELL_WIDTH} height=${high}/><rect class="charge" x="-24" y=${y} width=${CELL_WIDTH} height=${high}/>`;
  })}</g>`;
};

/** Four fingers around the front of the chuck, a thumb over its collar, a sleeve at the right. */
export const handDrawn = svg`
  <g class="hand">
    <path class="sleeve" d="M304 520L344 538L322 602L284 588Z"/>
    <path d="M206 503C236 492 266 498 284 511L322 532L300 590L262 574C240 571 222 566 206 557Z"/>
    <path d="M270 506C246 486 200 477 160 481C146 483 146 497 160 498C192 499 222 505 240 519"/>
    <path d="M126 502H220C229 502 229 516 220 516H126C117 516 117 502 126 502Z"/>
    <path d="M122 516H222C231 516 231 530 222 530H122C113 530 113 516 122 516Z"/>
    <path d="M126 530H221C230 530 230 544 221 544H126C117 544 117 530 126 530Z"/>
    <path d="M136 544H214C222 544 222 556 214 556H136C128 556 128 544 136 544Z"/>
    <path class="nails" d="M125 505.500Q119 509 125 512.500M121 519.500Q115 523 121 526.500M125 533.500Q119 537 125 540.500M135 547Q129.500 550 135 553"/>
    <path class="nails" d="M186 502V516M188 516V530M186 530V544M182 544V556"/>
  </g>
`;

type Cells = LinkNews['cells'];

export class HandsMover {
  private readonly trigger: SVGElement;
  private readonly direction: SVGElement;
  private readonly cases: readonly SVGElement[];
  private readonly charges: readonly SVGElement[];
  private told: Cells = [];
  private readonly hand: SVGElement;

  constructor(root: ParentNode) {
    const one = (selector: string) => root.querySelector<SVGElement>(selector) as SVGElement;
    this.trigger = one('.trigger');
    this.direction = one('.direction path');
    this.cases = [...root.querySelectorAll<SVGElement>('.cell')];
    this.charges = [...root.querySelectorAll<SVGElement>('.charge')];
    this.hand = one('.hand');
  }

  /** Renews everything from the latest sample and from what the hands hold. */
  move(now: Float64Array, direction: number, grip_Nm: number, left: Cells): void {
    const pull = now[trigger] * TRAVEL;
    this.trigger.setAttribute('transform', `translate(${(-0.4 * pull).toFixed(2)} ${(-0.92 * pull).toFixed(2)})`);
    this.direction.setAttribute(
      'd',
      direction > 0 ? 'M-6-4H6L0 7Z' : direction < 0 ? 'M-6 4H6L0-7Z' : 'M-6-1.6H6V1.6H-6Z',
    );
    if (left !== this.told) this.fill(left);
    this.hand.style.display = grip_Nm > 0 ? '' : 'none';
    this.hand.classList.toggle('slips', grip_Nm > 0 && Math.abs(now[chuckSpeed]) > 1);
  }

  /** A few times a second. */
  private fill(left: Cells): void {
    this.told = left;
    for (const [k, rect] of this.charges.entries()) {
      const [charge, size] = left[k] ?? [0, 1];
      const width = Math.min(CELL_WIDEST, CELL_WIDTH * size);
      this.cases[k].setAttribute('width', width.toFixed(1));
      rect.setAttribute('width', (width * Math.max(0, charge)).toFixed(1));
    }
  }
}
