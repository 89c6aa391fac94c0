/**
 * Gears, chuck, bit and screw: lines on cylinders. A line that would move more than a third of its spacing between two
 * frames could seem to stand or to turn backwards; then the lines give way to a band of tone, and an arrow says which way.
 */
import { svg } from 'lit';
import type { BenchInfo } from '../../worker/api.ts';
import { UNITS_PER_MM } from '../style/rows.ts';
import { AXIS_X, CHUCK, PLANET_AT, PLANET_RADIUS, SCREW, STAGE_HEIGHT, STAGE_Y, SUN_RADIUS } from './geometry.ts';

const THIRD = 1 / 3;
const TAU = 2 * Math.PI;

export const gears = svg`
  <g class="gears">
    ${STAGE_Y.map(
      (top) => svg`
      <g class="stage">
        <rect class="steel" x=${AXIS_X - PLANET_AT - PLANET_RADIUS} y=${top} width=${2 * PLANET_RADIUS} height=${STAGE_HEIGHT}/>
        <rect class="steel" x=${AXIS_X + PLANET_AT - PLANET_RADIUS} y=${top} width=${2 * PLANET_RADIUS} height=${STAGE_HEIGHT}/>
        <rect class="steel" x=${AXIS_X - SUN_RADIUS} y=${top - 3} width=${2 * SUN_RADIUS} height=${STAGE_HEIGHT + 3}/>
        <rect class="band"  x=${AXIS_X - PLANET_AT - PLANET_RADIUS} y=${top} width=${2 * (PLANET_AT + PLANET_RADIUS)} height=${STAGE_HEIGHT}/>
        <path class="teeth"/>
        <path class="carrier" d="M${AXIS_X - 41} ${top + STAGE_HEIGHT}H${AXIS_X + 41}V${top + STAGE_HEIGHT + 4}H${AXIS_X - 41}Z"/>
      </g>`,
    )}
  </g>
`;

export const chuckRibs = svg`
  <g class="chuck-marks">
    <path class="rib-band" d="M${AXIS_X - 47} ${CHUCK.top}H${AXIS_X + 47}V${CHUCK.bottom - 2}H${AXIS_X - 47}Z"/>
    <path class="ribs"/><path class="holes"/>
    <path class="way"/>
  </g>
`;

export const screw = svg`
  <g class="bit"><path class="steel" d="M${AXIS_X - 5} 600H${AXIS_X + 5}V${SCREW.head + 6}H${AXIS_X - 5}Z"/><path class="flats"/></g>
  <g class="bit-tip"><path class="steel" d="M${AXIS_X - 5} ${SCREW.head + 5}H${AXIS_X + 5}L${AXIS_X + 2} ${SCREW.head + 18}H${AXIS_X - 2}Z"/></g>
  <g class="screw">
    <path class="steel" d="M${AXIS_X - SCREW.core} ${SCREW.head + 12}V${SCREW.threadBottom - 18}L${AXIS_X} ${SCREW.threadBottom + 4}L${AXIS_X + SCREW.core} ${SCREW.threadBottom - 18}V${SCREW.head + 12}Z"/>
    <path class="thread-band" d="M${AXIS_X - SCREW.radius} ${SCREW.threadTop}V${SCREW.threadBottom - 22}L${AXIS_X} ${SCREW.threadBottom}L${AXIS_X + SCREW.radius} ${SCREW.threadBottom - 22}V${SCREW.threadTop}Z"/>
    <path class="thread"/>
    <path class="steel" d="M${AXIS_X - 17} ${SCREW.head}H${AXIS_X + 17}L${AXIS_X + SCREW.core} ${SCREW.head + 14}H${AXIS_X - SCREW.core}Z"/>
  </g>
  <g class="stop-block"><path class="cut" d="M${AXIS_X - 62} ${SCREW.head + 8}H${AXIS_X + 62}V${SCREW.head + 92}H${AXIS_X - 62}Z"/><path class="thin" d="M${AXIS_X - 90} ${SCREW.head + 92}H${AXIS_X + 90}"/></g>
`;

export class TrainMover {
  private readonly info: BenchInfo;
  private readonly teeth: readonly SVGElement[];
  private readonly bands: readonly SVGElement[];
  private readonly ribs: SVGElement;
  private readonly ribBand: SVGElement;
  private readonly holes: SVGElement;
  private readonly way: SVGElement;
  private readonly flats: SVGElement;
  private readonly thread: SVGElement;
  private readonly threadBand: SVGElement;

  constructor(root: ParentNode, info: BenchInfo) {
    const one = (selector: string) => root.querySelector<SVGElement>(selector) as SVGElement;
    this.info = info;
    this.teeth = [...root.querySelectorAll<SVGElement>('.teeth')];
    this.bands = [...root.querySelectorAll<SVGElement>('.band')];
    this.ribs = one('.ribs');
    this.ribBand = one('.rib-band');
    this.holes = one('.holes');
    this.way = one('.way');
    this.flats = one('.flats');
    this.thread = one('.thread');
    this.threadBand = one('.thread-band');
  }

  /**
   * @param chuck_rad angle of the chuck, not wrapped
   * @param perFrame_rad angle that the chuck turns between two frames
   * @param gear 1 or 2
   */
  move(chuck_rad: number, perFrame_rad: number, gear: number): void {
    this.moveGears(chuck_rad, perFrame_rad, gear);
    const turns = Math.abs(perFrame_rad) / TAU;
    show(this.ribs, this.ribBand, turns * CHUCK.ribs < THIRD);
    this.ribs.setAttribute('d', lines(CHUCK.radius - 2, CHUCK.ribs, chuck_rad, AXIS_X, CHUCK.top, CHUCK.bottom - 3));
    const holesSeen = turns * CHUCK.holes < THIRD;
    this.holes.style.display = holesSeen ? '' : 'none';
    if (holesSeen) this.holes.setAttribute('d', holes(chuck_rad));
    this.way.style.display = turns * CHUCK.ribs < THIRD ? 'none' : '';
    this.way.setAttribute('d', perFrame_rad > 0 ? WAY_IN : WAY_OUT);
    this.flats.setAttribute('d', turns * 6 < THIRD ? lines(5, 6, chuck_rad, AXIS_X, 601, SCREW.head - 1) : '');
    show(this.thread, this.threadBand, turns < THIRD);
    this.thread.setAttribute('d', crests(chuck_rad, this.info.screw.pitch_m * 1000 * UNITS_PER_MM));
  }

  /** Speeds downward from the motor: each sun is the carrier of the stage before. */
  private moveGears(chuck_rad: number, perFrame_rad: number, gear: number): void {
    const { stages, stagesInGear, ratios } = this.info;
    let sun = chuck_rad * ratios[gear - 1];
    let step = perFrame_rad * ratios[gear - 1];
    for (const [k, [zs, zr]] of stages.entries()) {
      const works = k < stagesInGear[gear - 1];
      const carrier = works ? sun / (1 + zr / zs) : sun;
      const carrierStep = works ? step / (1 + zr / zs) : step;
      const planet = works ? (-(sun - carrier) * zs * 2) / (zr - zs) : 0;
      const seen = (Math.abs(step) / TAU) * 12 < THIRD;
      show(this.teeth[k], this.bands[k], seen);
      if (seen) {
        const top = STAGE_Y[k];
        const bottom = top + STAGE_HEIGHT;
        this.teeth[k].setAttribute(
          'd',
          lines(SUN_RADIUS, 12, sun, AXIS_X, top - 3, bottom) +
            lines(PLANET_RADIUS, 14, planet, AXIS_X - PLANET_AT, top, bottom) +
            lines(PLANET_RADIUS, 14, planet, AXIS_X + PLANET_AT, top, bottom),
        );
      }
      sun = carrier;
      step = carrierStep;
    }
  }
}

const WAY_IN = 'M208 526H130M140 519L128 526L140 533';
const WAY_OUT = 'M128 526H206M196 519L208 526L196 533';

function show(sharp: SVGElement, tone: SVGElement, isSharp: boolean): void {
  sharp.style.display = isSharp ? '' : 'none';
  tone.style.display = isSharp ? 'none' : '';
}

/** Lines along a cylinder that can be seen from the front; clockwise from above moves them from right to left in front. */
function lines(radius: number, count: number, angle_rad: number, x: number, top: number, bottom: number): string {
  let d = '';
  for (let k = 0; k < count; k++) {
    const a = (k / count) * TAU - angle_rad;
    if (Math.cos(a) <= 0.05) continue;
    d += `M${(x + radius * Math.sin(a)).toFixed(2)} ${top}V${bottom}`;
  }
  return d;
}

/** Key holes of the chuck: ellipses that narrow toward the sides. */
function holes(angle_rad: number): string {
  let d = '';
  for (let k = 0; k < CHUCK.holes; k++) {
    const a = (k / CHUCK.holes) * TAU - angle_rad;
    const c = Math.cos(a);
    if (c <= 0.05) continue;
    const x = AXIS_X + (CHUCK.radius - 2) * Math.sin(a);
    const r = (6.5 * c).toFixed(2);
    d += `M${x.toFixed(2)} 517A${r} 6.5 0 0 1 ${x.toFixed(2)} 530A${r} 6.5 0 0 1 ${x.toFixed(2)} 517Z`;
  }
  return d;
}

/** Thread crests; one turn in lifts them by one pitch, as it lifts the board. */
function crests(angle_rad: number, pitch: number): string {
  const phase = ((angle_rad / TAU) % 1) * pitch;
  let d = '';
  for (let y = SCREW.threadBottom - phase; y > SCREW.threadTop; y -= pitch) {
    if (y > SCREW.threadBottom - 2) continue;
    const r = Math.min(SCREW.radius, 2 + 0.42 * (SCREW.threadBottom - y));
    d += `M${(AXIS_X - r).toFixed(1)} ${(y + 1.5).toFixed(2)}L${(AXIS_X + r).toFixed(1)} ${(y - 1.5).toFixed(2)}`;
  }
  return d;
}
