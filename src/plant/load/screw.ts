/**
 * Wood screw as a function of depth, never of time.
 *
 * Model   in:  tip torque, rising with depth until the thread is fully engaged; from head contact on the clamp force
 *              stretches screw and boards and adds F (r2 tan(rho + phi) + rh mu_h);
 *         out: the helix term changes sign, F (r2 tan(rho - phi) + rh mu_h), and the thread asks for less than on the way
 *              in; a screw that was driven sticks at first;
 *         tan(rho) = mu / cos(half flank angle). Both are bounds of dry friction: a seated screw holds by itself.
 *         Above its strength the thread in the wood gives way over some turn: the screw turns on the spot and clamps less
 *         and less. Above its own strength the shank twists and breaks. Torque and strength scatter from screw to
 *         screw, the torque also along the depth. The bit may ride out of the recess (bit.ts).
 * Source  shape of the curve: Tor et al., "Characteristics of torques for driving screws into wood-based composites",
 *         Wood and Fiber Science (wfs.swst.org, article 2215). Tightening and loosening: mechanics of the power screw,
 *         any textbook of machine elements (from memory).
 */
import { cosine } from '../../units/elementary.ts';
import type { BitParams, ScrewParams } from '../params.ts';
import { slot } from '../slots.ts';
import { work } from '../work.ts';
import { bitHolds_Nm, rideBit } from './bit.ts';
import { drawShare, grainAt, newGrain } from './grain.ts';

const DEPTH = slot('depth');
const STRIPPED = slot('stripped');
const SHARE = slot('screwShare');
const TWIST = slot('shankTwist');
const FREED = slot('freed');
const RIDE = slot('bitRide');
const CHUCK_ANGLE = slot('chuckAngle');
const LOW = work('loadLow');
const HIGH = work('loadHigh');
const LOW_SLOPE = work('loadLowSlope');
const HIGH_SLOPE = work('loadHighSlope');
const FROM = work('loadFrom');
const RIDES = work('bitRides');
const YIELDS = work('shankYields');

/** Bits of w.bitRides: the bit is what gives way first, turning in and turning out. */
const RIDES_IN = 1;
const RIDES_OUT = 2;

/** Screw parameters with the levers that a step needs; made once. */
export interface ScrewMap extends ScrewParams {
  /** Torque per newton of clamp force, tightening and loosening [m]. */ readonly leverIn_m: number;
  readonly leverOut_m: number;
  /** Depth per radian of the chuck [m]. */ readonly lead_m_rad: number;
  readonly bit: BitParams;
}

/** Adds the levers to checked parameters. Throws RangeError when the clamped screw would not hold by itself. */
export function screwMap(p: ScrewParams, bit: BitParams): ScrewMap {
  const lead = p.pitch_m / (2 * Math.PI);
  const tanRho = p.friction / cosine(p.halfFlank_rad);
  const tanPhi = lead / p.threadRadius_m;
  if (tanRho <= tanPhi) throw new RangeError(`screw.friction is ${p.friction}; it must exceed the slope of the thread`);
  const head = p.headRadius_m * p.headFriction;
  const leverIn_m = (p.threadRadius_m * (tanRho + tanPhi)) / (1 - tanRho * tanPhi) + head;
  const leverOut_m = (p.threadRadius_m * (tanRho - tanPhi)) / (1 + tanRho * tanPhi) + head;
  return Object.freeze({ ...p, leverIn_m, leverOut_m, lead_m_rad: lead, bit });
}

/** A new screw: its own strength, nothing stripped, nothing twisted. */
export function newScrew(x: Float64Array, p: ScrewParams): void {
  newGrain(x);
  x[STRIPPED] = 0;
  x[TWIST] = 0;
  x[FREED] = 0;
  x[RIDE] = 0;
  x[SHARE] = drawShare(x, p.scatter);
}

/** Force that the seated head puts on the boards [N]; 0 before contact, less and less as the thread gives way. */
export function clampForce_N(x: Float64Array, p: ScrewParams): number {
  const past = x[DEPTH] - p.seat_m;
  if (past <= 0 || x[TWIST] > p.shearTwist_rad) return 0;
  const most = p.strip_N * x[SHARE] * (1 - x[STRIPPED]);
  return Math.min(p.clamp_N_m * past, most);
}

/** Widens the bounds of the load torque by what the screw can hold, in and out, and says how that grows with the turn. */
export function boundScrew(x: Float64Array, w: Float64Array, p: ScrewMap): void {
  w[RIDES] = 0;
  w[YIELDS] = 0;
  // A broken shank carries nothing; the rest of it stays in the wood.
  if (x[TWIST] > p.shearTwist_rad) return;
  const z = x[DEPTH];
  const wood = x[SHARE] * grainAt(x, z, p.scatter, p.grain_m);
  const whole = 1 - x[STRIPPED] * (1 - p.strippedShare);
  const thread = wood * whole * (p.tip_Nm + p.thread_Nm_m * Math.min(z, p.fullThread_m));
  const clamp = clampForce_N(x, p);
  const gives = x[STRIPPED] > 0 || clamp >= p.strip_N * x[SHARE];
  // The tip only just touches at first: it bites from here on, and comes out freely.
  const out = z > 0 ? p.outShare * thread + clamp * p.leverOut_m : 0;
  const left = 1 - x[FREED] / p.loose_rad;
  const sticks = left > 0 ? 1 + (p.stick - 1) * left : 1;
  let into = thread + clamp * p.leverIn_m;
  let intoSlope = 0;
  if (gives) {
    if (x[STRIPPED] < 1) {
      const fall = p.strip_N * x[SHARE] * p.leverIn_m + (thread / whole) * (1 - p.strippedShare);
      intoSlope = -fall / p.stripTurn_rad;
    }
  } else {
    const grows = z < p.fullThread_m && z > 0 ? wood * p.thread_Nm_m : 0;
    const stretches = z > p.seat_m ? p.clamp_N_m : 0;
    intoSlope = p.lead_m_rad * (grows + stretches * p.leverIn_m);
  }
  let outOf = out * sticks;
  const outSlope =
    x[FREED] > 0 || z <= 0 ? 0 : p.lead_m_rad * (z > p.seat_m && !gives ? p.clamp_N_m * p.leverOut_m : 0);
  const shank = p.shear_Nm * x[SHARE];
  if (into > shank) {
    into = shank;
    intoSlope = 0;
    w[YIELDS] = 1;
  }
  const holds = bitHolds_Nm(x, p.bit);
  if (into > holds) {
    into = holds;
    intoSlope = 0;
    w[RIDES] |= RIDES_IN;
  }
  if (outOf > holds) {
    outOf = holds;
    w[RIDES] |= RIDES_OUT;
  }
  w[LOW] -= into;
  w[LOW_SLOPE] -= intoSlope;
  w[HIGH] += outOf;
  w[HIGH_SLOPE] += (w[RIDES] & RIDES_OUT) === 0 ? outSlope : 0;
}

/** What the turn of the chuck has done: screw in or out, thread given way, shank twisted, bit jumped. */
export function advanceScrew(x: Float64Array, w: Float64Array, p: ScrewMap): void {
  const turned = x[CHUCK_ANGLE] - w[FROM];
  if (turned === 0 || x[TWIST] > p.shearTwist_rad) return;
  if ((w[RIDES] & (turned > 0 ? RIDES_IN : RIDES_OUT)) !== 0) {
    rideBit(x, turned, p.bit);
    return;
  }
  if (turned > 0 && w[YIELDS] === 1) {
    x[TWIST] += turned;
    return;
  }
  x[FREED] = turned > 0 ? 0 : x[FREED] - turned;
  if (x[STRIPPED] === 1) return;
  const before = clampForce_N(x, p);
  if (turned > 0 && (x[STRIPPED] > 0 || before >= p.strip_N * x[SHARE])) {
    x[STRIPPED] = Math.min(1, x[STRIPPED] + turned / p.stripTurn_rad);
    return;
  }
  x[DEPTH] = Math.max(0, x[DEPTH] + p.lead_m_rad * turned);
}
