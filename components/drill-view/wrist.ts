/** The wrist, seen from above: the tool as a needle on a fan, with marks where it stops being comfortable. */
import { svg } from 'lit';
import { AXIS_X } from './geometry.ts';
import { seenWidth, WRIST, wristNeedle } from './motion.ts';

const PIVOT = { x: 15, y: 62 } as const;
const REACH = 58;

function at(deg: number, radius: number): string {
  const a = (deg * Math.PI) / 180;
  return `${(PIVOT.x + radius * Math.cos(a)).toFixed(1)} ${(PIVOT.y + radius * Math.sin(a)).toFixed(1)}`;
}
const ray = (deg: number, from: number, to: number): string => `M${at(deg, from)}L${at(deg, to)}`;
const { ease, end } = WRIST;

export const wristDrawn = svg`
  <g class="wrist">
    <path class="fan" d="M${at(-end, REACH)}A${REACH} ${REACH} 0 0 1 ${at(end, REACH)}"/>
    <path class="fan-end" d="${ray(-end, REACH - 5, REACH + 5)}${ray(end, REACH - 5, REACH + 5)}${ray(0, REACH - 3, REACH + 3)}"/>
    <path class="fan-ease" d="${ray(-ease, REACH - 8, REACH + 8)}${ray(ease, REACH - 8, REACH + 8)}"/>
    <path class="fan-past" d="${ray(-ease - 2.4, REACH - 8, REACH + 8)}${ray(ease + 2.4, REACH - 8, REACH + 8)}"/>
    <g class="needle">
      <path class="shell arm" d="M${PIVOT.x} ${PIVOT.y - 6}L${PIVOT.x + 44} ${PIVOT.y - 5}V${PIVOT.y + 5}L${PIVOT.x} ${PIVOT.y + 6}Z"/>
      <path class="tip" d="M${PIVOT.x + 44} ${PIVOT.y}H${PIVOT.x + REACH + 4}"/>
      <circle class="shell" cx=${PIVOT.x} cy=${PIVOT.y} r="12"/>
    </g>
    <path class="vice" d="M${PIVOT.x + 20} ${PIVOT.y - 20}H${PIVOT.x + 40}V${PIVOT.y - 8}H${PIVOT.x + 20}ZM${PIVOT.x + 20} ${PIVOT.y + 8}H${PIVOT.x + 40}V${PIVOT.y + 20}H${PIVOT.x + 20}Z"/>
  </g>
`;

export class WristMover {
  private readonly needle: SVGElement;
  private readonly past: SVGElement;
  private readonly vice: SVGElement;
  private readonly side: SVGElement;
  private shown = '';
  private width = '';
  private isPast: boolean | undefined;
  private isHeld: boolean | undefined;

  constructor(root: ParentNode) {
    const one = (selector: string) => root.querySelector<SVGElement>(selector) as SVGElement;
    this.needle = one('.needle');
    this.past = one('.fan-past');
    this.vice = one('.vice');
    this.side = one('.arm-side');
  }

  /** @param body_rad angle of the tool body; @param firm how firmly it is held, 0 in a vice */
  move(body_rad: number, firm: number): void {
    const { at: deg, past } = wristNeedle(body_rad);
    const turn = `rotate(${deg.toFixed(1)} ${PIVOT.x} ${PIVOT.y})`;
    if (turn !== this.shown) {
      this.shown = turn;
      this.needle.setAttribute('transform', turn);
    }
    // What sticks out to the side turns away from the eye.
    const c = seenWidth(body_rad);
    const width = `matrix(${c.toFixed(4)} 0 0 1 ${(AXIS_X * (1 - c)).toFixed(2)} 0)`;
    if (width !== this.width) {
      this.width = width;
      this.side.setAttribute('transform', width);
    }
    if (past !== this.isPast) {
      this.isPast = past;
      this.past.style.display = past ? '' : 'none';
    }
    if ((firm === 0) !== this.isHeld) {
      this.isHeld = firm === 0;
      this.vice.style.display = this.isHeld ? '' : 'none';
    }
  }
}
