/** What hands do to the drill, and what the supply has left: trigger, direction, pack cells, gripping hand. */
import { svg } from 'lit';
import { SIGNAL_INDEX } from '../../src/signals.ts';

const { trigger, charge, chuckSpeed } = SIGNAL_INDEX;

const CELLS = 5;
const CELL_WIDTH = 40;
/** Way of the trigger, toward the handle, at full travel. */
const TRAVEL = 15;

export const triggerDrawn = svg`
  <g class="trigger"><path class="shell dark" d="M284 199L338 171C349 191 342 217 323 234C305 233 291 219 284 199Z"/><path class="thin" d="M296 205L334 185"/></g>
`;

export const directionDrawn = svg`
  <g class="direction" transform="translate(366 184)"><circle r="13"/><path/></g>
`;

export const cells = svg`
  <g class="cells">
    ${[...Array(CELLS).keys()].map(
      (k) => svg`
      <rect class="cell" x="-24" y=${-52 + k * 21.5} width=${CELL_WIDTH} height="17"/>
      <rect class="charge" x="-24" y=${-52 + k * 21.5} width=${CELL_WIDTH} height="17"/>`,
    )}
  </g>
`;

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

export class HandsMover {
  private readonly trigger: SVGElement;
  private readonly direction: SVGElement;
  private readonly charges: readonly SVGElement[];
  private readonly hand: SVGElement;

  constructor(root: ParentNode) {
    const one = (selector: string) => root.querySelector<SVGElement>(selector) as SVGElement;
    this.trigger = one('.trigger');
    this.direction = one('.direction path');
    this.charges = [...root.querySelectorAll<SVGElement>('.charge')];
    this.hand = one('.hand');
  }

  /** Renews everything from the latest sample and from what the hands hold. */
  move(now: Float64Array, direction: number, grip_Nm: number): void {
    const pull = now[trigger] * TRAVEL;
    this.trigger.setAttribute('transform', `translate(${(-0.4 * pull).toFixed(2)} ${(-0.92 * pull).toFixed(2)})`);
    this.direction.setAttribute(
      'd',
      direction > 0 ? 'M-6-4H6L0 7Z' : direction < 0 ? 'M-6 4H6L0-7Z' : 'M-6-1.6H6V1.6H-6Z',
    );
    for (const rect of this.charges) rect.setAttribute('width', (CELL_WIDTH * now[charge]).toFixed(1));
    this.hand.style.display = grip_Nm > 0 ? '' : 'none';
    this.hand.classList.toggle('slips', grip_Nm > 0 && Math.abs(now[chuckSpeed]) > 1);
  }
}
