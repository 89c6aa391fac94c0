/** The board that the screw goes into, in section: slat of pine over the leg of larch. It climbs; the tip stands. */
import { svg } from 'lit';
import { SLAT_MM, TIP_Y, UNITS_PER_MM } from '../style/rows.ts';
import { AXIS_X, SCREW } from './geometry.ts';

const SLAT = SLAT_MM * UNITS_PER_MM;
const DEEP = 170;
const grain = (offset: number, k: number): string => {
  const y = TIP_Y + offset * UNITS_PER_MM;
  const bow = 2.2 * Math.sin(1.9 * k + 0.4);
  return `M0 ${y.toFixed(1)}C120 ${(y + bow).toFixed(1)} 260 ${(y - bow).toFixed(1)} 500 ${(y + bow * 0.6).toFixed(1)}`;
};
const PINE = [2.2, 4.1, 7.4, 9.3, 12.6, 15, 18.4, 20.2, 23.7, 25.8];
const LARCH = [29.4, 31, 32.2, 34.7, 36, 37.1, 39.8, 41, 43.6, 45, 46.1, 49, 51.2, 54, 57.5, 60, 64, 68, 72, 77];

export const wood = svg`
  <g class="board">
    <rect class="pine" x="0" y=${TIP_Y} width="500" height=${SLAT}/>
    <rect class="larch" x="0" y=${TIP_Y + SLAT} width="500" height=${DEEP}/>
    <path class="pine-grain" d=${PINE.map(grain).join('')}/>
    <path class="larch-grain" d=${LARCH.map(grain).join('')}/>
    <path class="joint" d="M0 ${TIP_Y + SLAT}H500"/>
    <path class="bore-hole"/><path class="notches"/>
    <path class="edge" d="M0 ${TIP_Y}H500"/>
  </g>
`;

export class WoodMover {
  private readonly board: SVGElement;
  private readonly hole: SVGElement;
  private readonly notches: SVGElement;
  private readonly chip: SVGElement;
  private readonly chipText: SVGElement;
  private readonly pitch: number;
  private deepest = 0;

  constructor(root: ParentNode, pitch_m: number) {
    const one = (selector: string) => root.querySelector<SVGElement>(selector) as SVGElement;
    this.board = one('.board');
    this.hole = one('.bore-hole');
    this.notches = one('.notches');
    this.chip = one('.chip');
    this.chipText = one('.chip text');
    this.pitch = pitch_m * 1000 * UNITS_PER_MM;
  }

  /** A new screw: the old hole is gone with the old place. */
  fresh(): void {
    this.deepest = 0;
  }

  /** Puts the board at a depth [m]; NaN: nothing is gone into. @param screwed slat and leg; a hole is drawn elsewhere */
  move(depth_m: number, screwed: boolean): void {
    const there = depth_m >= 0;
    this.board.style.display = there && screwed ? '' : 'none';
    this.chip.style.display = there ? '' : 'none';
    if (!there) return;
    const up = depth_m * 1000 * UNITS_PER_MM;
    if (!screwed) {
      this.chip.setAttribute('transform', `translate(420 ${(TIP_Y - up - 24).toFixed(1)})`);
      return;
    }
    if (up > this.deepest + 0.2 || this.deepest === 0) {
      this.deepest = Math.max(up, 0.01);
      this.carve();
    }
    this.board.setAttribute('transform', `translate(0 ${(-up).toFixed(2)})`);
    this.chip.setAttribute('transform', `translate(420 ${(TIP_Y - up + (up > 24 ? 28 : -24)).toFixed(1)})`);
  }

  /** Number beside the board; renewed a few times a second. */
  say(text: string): void {
    this.chipText.textContent = text;
  }

  /** Hole and thread in the wood, as deep as the tip ever was; they climb with the board. */
  private carve(): void {
    const d = this.deepest;
    const taper = Math.min(d, 22);
    const r = SCREW.core + 1;
    this.hole.setAttribute(
      'd',
      `M${AXIS_X - r} ${TIP_Y}V${TIP_Y + d - taper}L${AXIS_X} ${TIP_Y + d}L${AXIS_X + r} ${TIP_Y + d - taper}V${TIP_Y}Z`,
    );
    let notches = '';
    for (let y = this.pitch; y < d - 3; y += this.pitch) {
      const reach = Math.min(SCREW.radius, 2 + 0.42 * (d - y)) + 0.8;
      for (const side of [-1, 1]) {
        const x0 = AXIS_X + side * (Math.min(reach, r) - 1);
        notches += `M${x0} ${(TIP_Y + y - 1.8).toFixed(1)}L${AXIS_X + side * reach} ${(TIP_Y + y).toFixed(1)}L${x0} ${(TIP_Y + y + 1.8).toFixed(1)}Z`;
      }
    }
    this.notches.setAttribute('d', notches);
  }
}
