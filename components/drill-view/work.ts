/** What the chuck may meet beside a screw: a bit in wood or steel, a hard stop, a test joint. Work climbs, the tip stands. */
import { svg } from 'lit';
import type { BenchInfo, BoreSize } from '../../worker/api.ts';
import { TIP_Y, UNITS_PER_MM } from '../style/rows.ts';
import { AXIS_X, SCREW } from './geometry.ts';
import { marksSeen, threadClimb } from './motion.ts';

/** Advance of the flutes of a drill bit, in diameters; common practice, no source. */
const FLUTE = 1.6;
/** Shown of the flutes at most. */
const FLUTED = 92;
const GRAIN = [3, 7.5, 10, 14.5, 17, 21, 25.5]
  .map((mm, k) => {
    const y = TIP_Y + mm * UNITS_PER_MM;
    const bow = 2 * Math.sin(1.7 * k);
    return `M0 ${y.toFixed(1)}C150 ${(y + bow).toFixed(1)} 320 ${(y - bow).toFixed(1)} 500 ${y.toFixed(1)}`;
  })
  .join('');
const units = (m: number): number => m * 1000 * UNITS_PER_MM;

export const otherWork = svg`
  <g class="bore-work"><rect class="bored" x="0" width="500" y=${TIP_Y}/><path class="bored-grain pine-grain" d=${GRAIN}/><path class="bored-hole"/><path class="edge" d="M0 ${TIP_Y}H500"/></g>
  <g class="drill-bit"><path class="steel shank"/><path class="steel body"/><path class="flutes"/></g>
  <g class="stop-block"><path class="cut" d="M${AXIS_X - 62} ${SCREW.head + 8}H${AXIS_X + 62}V${SCREW.head + 92}H${AXIS_X - 62}Z"/><path class="thin" d="M${AXIS_X - 90} ${SCREW.head + 92}H${AXIS_X + 90}"/></g>
  <g class="joint-block">
    <path class="cut" d="M${AXIS_X - 78} 704H${AXIS_X + 78}V762H${AXIS_X - 78}Z"/>
    <path class="inside" d="M${AXIS_X - 9} 704H${AXIS_X + 9}V762H${AXIS_X - 9}Z"/>
    <path class="steel" d="M${AXIS_X - 8} 686H${AXIS_X + 8}V756H${AXIS_X - 8}Z"/>
    <path class="steel" d="M${AXIS_X - 20} 676H${AXIS_X + 20}V698H${AXIS_X - 20}Z"/><path class="thin" d="M${AXIS_X - 10} 676V698M${AXIS_X + 10} 676V698"/>
    <path class="steel" d="M${AXIS_X - 26} 698H${AXIS_X + 26}V704H${AXIS_X - 26}Z"/>
    <path class="steel" d="M${AXIS_X - 25} ${SCREW.head}H${AXIS_X + 25}V678H${AXIS_X - 25}Z"/><path class="thin" d="M${AXIS_X - 25} ${SCREW.head + 9}H${AXIS_X + 25}"/>
  </g>
`;

export class WorkMover {
  private readonly info: BenchInfo;
  private readonly work: SVGElement;
  private readonly board: SVGElement;
  private readonly hole: SVGElement;
  private readonly grain: SVGElement;
  private readonly body: SVGElement;
  private readonly shank: SVGElement;
  private readonly flutes: SVGElement;
  private kind = '';
  private deepest = 0;

  constructor(root: ParentNode, info: BenchInfo) {
    const one = (selector: string) => root.querySelector<SVGElement>(selector) as SVGElement;
    this.info = info;
    this.work = one('.bore-work');
    this.board = one('.bored');
    this.hole = one('.bored-hole');
    this.grain = one('.bored-grain');
    this.body = one('.drill-bit .body');
    this.shank = one('.drill-bit .shank');
    this.flutes = one('.flutes');
  }

  fresh(): void {
    this.deepest = 0;
  }

  /** @param meets what the chuck meets; @param chuckStep_rad turn of the chuck between two pictures */
  move(meets: string, depth_m: number, chuck_rad: number, chuckStep_rad: number): void {
    if (meets !== 'wood' && meets !== 'steel') return;
    const size = this.info.bores[meets];
    if (meets !== this.kind) this.shape(meets, size);
    const up = depth_m > 0 ? units(depth_m) : 0;
    this.work.setAttribute('transform', `translate(0 ${(-up).toFixed(2)})`);
    if (up > this.deepest + 0.2 || up === 0) {
      this.deepest = up;
      this.hole.setAttribute('d', holeShape(size, up));
    }
    const pitch = FLUTE * units(size.diameter_m);
    this.flutes.setAttribute('d', marksSeen(chuckStep_rad, 2) ? flutes(size, chuck_rad, pitch) : '');
  }

  private shape(meets: 'wood' | 'steel', size: BoreSize): void {
    this.kind = meets;
    this.deepest = 0;
    this.board.setAttribute('height', units(size.thickness_m).toFixed(1));
    this.board.setAttribute('class', `bored ${meets === 'wood' ? 'pine' : 'plate'}`);
    this.grain.style.display = meets === 'wood' ? '' : 'none';
    const r = units(size.diameter_m) / 2;
    const tip = TIP_Y - units(size.tip_m);
    const top = SCREW.head - 4;
    this.shank.setAttribute('d', `M${AXIS_X - 5} 598H${AXIS_X + 5}V${top}H${AXIS_X - 5}Z`);
    this.body.setAttribute('d', `M${AXIS_X - r} ${top}H${AXIS_X + r}V${tip}L${AXIS_X} ${TIP_Y}L${AXIS_X - r} ${tip}Z`);
  }
}

/** The hole so far: as wide as the bit, pointed while it does not go through. */
function holeShape(size: BoreSize, up: number): string {
  const r = units(size.diameter_m) / 2;
  const tip = units(size.tip_m);
  const through = units(size.thickness_m);
  const full = Math.min(Math.max(0, up - tip), through);
  const reach = Math.min(up, through);
  const narrow = up > 0 ? (r * Math.max(0, up - reach)) / tip : 0;
  const low = Math.min(narrow, r);
  return (
    `M${AXIS_X - r} ${TIP_Y}V${(TIP_Y + full).toFixed(1)}L${(AXIS_X - low).toFixed(1)} ${(TIP_Y + reach).toFixed(1)}` +
    `H${(AXIS_X + low).toFixed(1)}L${AXIS_X + r} ${(TIP_Y + full).toFixed(1)}V${TIP_Y}Z`
  );
}

/** Two flutes around the bit; a clockwise turn lifts them, as it lifts the chips. */
function flutes(size: BoreSize, chuck_rad: number, pitch: number): string {
  const r = units(size.diameter_m) / 2;
  const bottom = TIP_Y - units(size.tip_m);
  const half = pitch / 2;
  let d = '';
  for (let y = bottom - threadClimb(2 * chuck_rad, half); y - half * 0.6 > bottom - FLUTED; y -= half) {
    d += `M${(AXIS_X - r).toFixed(1)} ${y.toFixed(1)}C${AXIS_X} ${y.toFixed(1)} ${AXIS_X} ${(y - half * 0.6).toFixed(1)} ${(AXIS_X + r).toFixed(1)} ${(y - half * 0.6).toFixed(1)}`;
  }
  return d;
}
