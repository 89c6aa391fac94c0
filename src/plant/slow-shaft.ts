/**
 * Gear, chuck and load as a motor sees them that turns elsewhere, once an interval of some milliseconds.
 *
 * Model   the gear is rigid: chuck angle = shaft angle / ratio. Play, twist and damping of the teeth are left out, and the
 *         tool stands as in a vice. Load, chuck bearing and clutch are dry: they oppose a turn up to a bound, in either
 *         sense another one, [-into, out]. At the shaft that is the same set written as push + [-hold, hold].
 *         Loads only take: power flows from motor to chuck, and the mesh loss of that direction goes on top of both bounds.
 *         What the mesh takes of the torque that speeds the chuck up or slows it down is left out.
 *         A clutch at its limit slips by what the chuck does not follow; the chuck then stands.
 *         In neutral the chuck coasts by itself. When the dogs catch, the shaft feels a push for one interval whose
 *         impulse brings both sides to one speed.
 * Scheme  bounds taken at the angle that the chuck will have in mid-interval, as the kernel takes them in mid-step: the
 *         mean of a bound that is a straight line over the angle, up to the square of the interval. A rigid stop is met up
 *         to half an interval too late.
 */
import type { DrillParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

/** What lies around the motor for one interval. */
export interface Around {
  /** Contact, protection and logic supply let the board run. */ powered: boolean;
  /** Pack behind its resistance [V]; 0 without power. */ open_V: number;
  source_ohm: number;
  /** Dry torque at the shaft: opposes turning, holds what stands. */ hold_Nm: number;
  /** Torque at the shaft beside it, positive in the sense In turns. */ push_Nm: number;
  /** Chuck as seen from the shaft. */ inertia_kgm2: number;
}

/** What the motor did in one interval. */
export interface Turn {
  /** Angle that the shaft turned. */ turned_rad: number;
  /** Speed of the shaft at the end. */ speed_rad_s: number;
  /** Mean torque of the shaft on gear, chuck and load. */ torque_Nm: number;
  /** Mean current out of the pack. */ drawn_A: number;
  /** Mean heat in the winding. */ loss_W: number;
}

/** A stop that does not give: beyond what a gearbox passes, and small enough for float32 to keep what is beside it. */
const RIGID_NM = 1000;

const ROTOR = slot('rotorSpeed');
const CHUCK = slot('chuckSpeed');
const ANGLE = slot('chuckAngle');
const SLIP = slot('slipAngle');
const GEAR_TORQUE = slot('gearTorque');
const LOAD_TORQUE = slot('loadTorque');
const LOSS_GEAR = slot('sumMesh');
const LOSS_CLUTCH = slot('lossClutch');
const LOSS_CHUCK = slot('lossChuck');
const WORK = slot('work');

const PERIOD = work('period');
const PER_RATIO = work('perRatio');
const FORTH = work('meshForth');
const LIMIT = work('slipLimit');
const LOW = work('loadLow');
const HIGH = work('loadHigh');
const LOW_SLOPE = work('loadLowSlope');
const HIGH_SLOPE = work('loadHighSlope');
const WALL = work('wall');

/** Torque with which the load resists turning in (side 1) or out (side -1), `on_rad` further than the chuck is [N·m]. */
function resists(x: Float64Array, w: Float64Array, side: number, on_rad: number): number {
  if (side > 0 && x[ANGLE] + on_rad >= w[WALL]) return RIGID_NM;
  const bound = side > 0 ? -(w[LOW] + w[LOW_SLOPE] * on_rad) : w[HIGH] + w[HIGH_SLOPE] * on_rad;
  return bound > 0 ? Math.min(bound, RIGID_NM) : 0;
}

/** Fills hold, push and inertia. Load and transmission have been renewed for the interval. */
export function seeFromShaft(x: Float64Array, w: Float64Array, p: DrillParams, around: Around): void {
  const per = w[PER_RATIO];
  const ahead = 0.5 * w[PERIOD] * x[CHUCK];
  const most = w[LIMIT] * p.gear.stiffness_Nm_rad;
  const into = Math.min(resists(x, w, 1, ahead) + p.shaft.chuckFriction_Nm, most);
  const out = Math.min(resists(x, w, -1, ahead) + p.shaft.chuckFriction_Nm, most);
  const up = 0.5 * per * (1 + w[FORTH]);
  around.hold_Nm = up * (into + out);
  around.push_Nm = up * (out - into);
  around.inertia_kgm2 = p.shaft.chuck_kgm2 * per * per;
}

/** Push [N·m] with which a chuck that the dogs have just caught pulls the shaft to its speed, or is pulled, in one interval. */
export function catchPush_Nm(x: Float64Array, w: Float64Array, around: Around): number {
  return (around.inertia_kgm2 * (x[CHUCK] / w[PER_RATIO] - x[ROTOR])) / w[PERIOD];
}

/** End of an interval: moves the chuck by what the shaft has turned, and books where the work of the shaft went. */
export function turnChuck(x: Float64Array, w: Float64Array, p: DrillParams, turn: Turn): void {
  const per = w[PER_RATIO];
  if (per === 0) {
    coastChuck(x, w, p);
    return;
  }
  const bearing = p.shaft.chuckFriction_Nm;
  const want = turn.turned_rad * per;
  const side = want < 0 ? -1 : 1;
  const size = side * want;
  const most = w[LIMIT] * p.gear.stiffness_Nm_rad;
  const moved = Math.min(size, roomToSlip(x, w, side, most - bearing));
  const slipped = size - moved;
  const load = resists(x, w, side, 0.5 * side * moved);

  // The mesh took what the shaft was told: its share of the dry torque.
  const mesh_J = w[FORTH] * ((load + bearing) * moved + (slipped > 0 ? most * slipped : 0));
  x[LOSS_GEAR] = mesh_J;
  if (size > 0) {
    x[GEAR_TORQUE] = turn.torque_Nm / per - (side * mesh_J) / size;
    x[LOAD_TORQUE] = -side * load;
  } else {
    // What stands leans on the mesh as if it were about to turn, on the bearing first and then on the load.
    const passed = turn.torque_Nm / (per * (1 + w[FORTH]));
    const rest = Math.max(0, (passed < 0 ? -passed : passed) - bearing);
    x[GEAR_TORQUE] = passed;
    x[LOAD_TORQUE] = passed > 0 ? -Math.min(rest, resists(x, w, 1, 0)) : Math.min(rest, resists(x, w, -1, 0));
  }
  x[LOSS_CHUCK] += bearing * moved;
  x[WORK] += load * moved;
  if (slipped > 0) x[LOSS_CLUTCH] += most * slipped;
  x[SLIP] += side * slipped;
  x[ANGLE] += side * moved;
  x[CHUCK] = slipped > 0 ? 0 : turn.speed_rad_s * per;
}

/** Turn of the chuck [rad] after which the load asks for more than the clutch passes; without end when it never does. */
function roomToSlip(x: Float64Array, w: Float64Array, side: number, most_Nm: number): number {
  const now = resists(x, w, side, 0);
  if (now >= most_Nm) return 0;
  const slope = side > 0 ? -w[LOW_SLOPE] : -w[HIGH_SLOPE];
  const room = slope > 0 ? (most_Nm - now) / slope : Number.POSITIVE_INFINITY;
  const toWall = side > 0 && RIGID_NM > most_Nm ? Math.max(0, w[WALL] - x[ANGLE]) : Number.POSITIVE_INFINITY;
  return Math.min(room, toWall);
}

/** In neutral bearing and load brake the chuck until it stands. */
function coastChuck(x: Float64Array, w: Float64Array, p: DrillParams): void {
  x[GEAR_TORQUE] = 0;
  x[LOAD_TORQUE] = 0;
  x[LOSS_GEAR] = 0;
  const side = x[CHUCK] < 0 ? -1 : 1;
  const speed = side * x[CHUCK];
  if (speed === 0) return;
  const { chuck_kgm2, chuckFriction_Nm: bearing } = p.shaft;
  const load = resists(x, w, side, 0);
  const slows = (load + bearing) / chuck_kgm2;
  const dt = w[PERIOD];
  const end = speed - slows * dt;
  const moved = end > 0 ? 0.5 * dt * (speed + end) : (0.5 * speed * speed) / slows;
  x[LOAD_TORQUE] = -side * load;
  x[LOSS_CHUCK] += bearing * moved;
  x[WORK] += load * moved;
  x[ANGLE] += side * moved;
  x[CHUCK] = end > 0 ? side * end : 0;
}
