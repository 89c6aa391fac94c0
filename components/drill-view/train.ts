/**
 * Gears, chuck, bit and screw: lines on cylinders. A line that would move more than a third of its spacing between two
 * frames could seem to stand or to turn backwards; then the lines give way to a band of tone, and an arrow says which way.
 */
import { svg } from 'lit';
import type { BenchInfo } from '../../worker/api.ts';
import { UNITS_PER_MM } from '../style/rows.ts';
import { AXIS_X, CHUCK, PLANET_AT, PLANET_RADIUS, SCREW, STAGE_HEIGHT, STAGE_Y, SUN_RADIUS } from './geometry.ts';
import { marksSeen, ratchetLift, threadClimb, unwrap } from './motion.ts';

const TAU = 2 * Math.PI;
/** Lines around a sun: a multiple of every number of pole pairs here, so that they know the rotor by its electrical angle. */
const TEETH = 12;
/** The bit lifts so far while it rides out of the recess, the clutch ring so far on a tooth. */
const BIT_LIFT = 6;
const RING_LIFT = 1.5;
const RING_MARKS = 26;

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
`;

export interface Train {
  /** Angle of the chuck, not wrapped. */ chuck_rad: number;
  /** Electrical rotor angle, wrapped. */ rotor_rad: number;
  /** Turn of the chuck between two pictures. */ chuckStep_rad: number;
  /** Turn of the motor between two pictures. */ motorStep_rad: number;
  /** Gear that is in: 0 none. */ gear: number;
  /** Angle by which the clutch has slipped, not wrapped. */ slip_rad: number;
  /** The bit rides out of the recess. */ bitRides: boolean;
}

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
  private readonly bits: readonly SVGElement[];
  private readonly ring: SVGElement;
  private readonly ringMarks: SVGElement;
  private electrical = 0;
  private setting = -1;
  private lift = '';

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
    this.bits = [...root.querySelectorAll<SVGElement>('.bit, .bit-tip')];
    this.ring = one('.clutch-ring');
    this.ringMarks = one('.clutch-marks');
  }

  /** Draws gears, clutch, chuck, bit and screw. @param setting of the clutch, 0 locked */
  move(train: Train, setting: number): void {
    this.moveGears(train);
    const { chuck_rad, chuckStep_rad } = train;
    const ribsSeen = marksSeen(chuckStep_rad, CHUCK.ribs);
    show(this.ribs, this.ribBand, ribsSeen);
    if (ribsSeen) {
      this.ribs.setAttribute('d', lines(CHUCK.radius - 2, CHUCK.ribs, chuck_rad, AXIS_X, CHUCK.top, CHUCK.bottom - 3));
    } else this.way.setAttribute('d', chuckStep_rad > 0 ? WAY_IN : WAY_OUT);
    this.way.style.display = ribsSeen ? 'none' : '';
    const holesSeen = marksSeen(chuckStep_rad, CHUCK.holes);
    this.holes.style.display = holesSeen ? '' : 'none';
    if (holesSeen) this.holes.setAttribute('d', holes(chuck_rad));
    this.flats.setAttribute(
      'd',
      marksSeen(chuckStep_rad, 6) ? lines(5, 6, chuck_rad, AXIS_X, 601, SCREW.head - 1) : '',
    );
    const threadSeen = marksSeen(chuckStep_rad, 1);
    show(this.thread, this.threadBand, threadSeen);
    if (threadSeen) this.thread.setAttribute('d', crests(chuck_rad, this.info.screw.pitch_m * 1000 * UNITS_PER_MM));
    this.moveBit(train.bitRides);
    this.moveClutch(train.slip_rad, setting);
  }

  private moveBit(rides: boolean): void {
    const lift = rides ? `translate(0 ${-BIT_LIFT})` : '';
    if (lift === this.lift) return;
    this.lift = lift;
    for (const bit of this.bits) bit.setAttribute('transform', lift);
  }

  private moveClutch(slip_rad: number, setting: number): void {
    const up = ratchetLift(slip_rad, this.info.clutch.detents) * RING_LIFT;
    this.ring.setAttribute('transform', `translate(0 ${up.toFixed(2)})`);
    if (setting === this.setting) return;
    this.setting = setting;
    const angle = (setting / (this.info.clutch.settings_Nm.length + 1)) * TAU;
    this.ringMarks.setAttribute('d', lines(56, RING_MARKS, angle, AXIS_X, 488, 499));
  }

  /** Speeds downward from the motor: each sun is the carrier of the stage before. Without a gear only the motor's sun turns. */
  private moveGears({ rotor_rad, motorStep_rad, chuckStep_rad, gear }: Train): void {
    const { stages, stagesInGear, polePairs } = this.info;
    this.electrical = unwrap(this.electrical, rotor_rad);
    const working = gear === 0 ? 0 : stagesInGear[gear - 1];
    let sun = this.electrical / polePairs;
    let step = motorStep_rad;
    for (const [k, [zs, zr]] of stages.entries()) {
      const works = k < working;
      const stands = gear === 0;
      const carrier = stands ? 0 : works ? sun / (1 + zr / zs) : sun;
      const carrierStep = stands ? chuckStep_rad : works ? step / (1 + zr / zs) : step;
      const planet = works ? (-(sun - carrier) * zs * 2) / (zr - zs) : 0;
      const seen = marksSeen(step, TEETH);
      show(this.teeth[k], this.bands[k], seen);
      if (seen) {
        const top = STAGE_Y[k];
        const bottom = top + STAGE_HEIGHT;
        this.teeth[k].setAttribute(
          'd',
          lines(SUN_RADIUS, TEETH, sun, AXIS_X, top - 3, bottom) +
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
  const phase = threadClimb(angle_rad, pitch);
  let d = '';
  for (let y = SCREW.threadBottom - phase; y > SCREW.threadTop; y -= pitch) {
    if (y > SCREW.threadBottom - 2) continue;
    const r = Math.min(SCREW.radius, 2 + 0.42 * (SCREW.threadBottom - y));
    d += `M${(AXIS_X - r).toFixed(1)} ${(y + 1.5).toFixed(2)}L${(AXIS_X + r).toFixed(1)} ${(y - 1.5).toFixed(2)}`;
  }
  return d;
}
