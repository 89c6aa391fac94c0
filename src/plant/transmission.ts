/**
 * Gearbox and clutch, as far as they are slower than a step: ratio, mesh loss, shifting, ratchet. The step itself (spring,
 * play, friction) is in kernel.ts.
 *
 * Model   planetary stages with fixed rings. A spring across free play, seen at the output; spring and damper act only in
 *         contact, and the damper never outweighs the spring: teeth push, they do not pull.
 *         Mesh loss is dry friction at the input that grows with the torque passed, by the direction of power: it brakes
 *         both ways, and can hold.
 *         A shift goes through neutral; then the dogs catch once both sides turn alike.
 *         The clutch lets go at its setting. Between two detents its torque falls and rises again: it ratchets.
 * Scheme  mean speeds move angle and twist; the spring torque is the difference quotient of its energy, so energy in =
 *         energy out for any step. Dry friction is a bounded multiplier.
 * Source  play that cannot pull: Nordin, Galic', Gutman, "New models for backlash and gear play", Int. J. Adapt. Control
 *         Signal Process. 11, 1997, 49-63. Stage efficiency by direction of power: Mueller 1982 / VDI 2157 (from memory).
 */
import type { ClutchParams, DrillParams, GearParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const GEAR = slot('gear');
const ENGAGED = slot('engaged');
const SHIFT = slot('shiftFor');
const TWIST = slot('twist');
const ROTOR = slot('rotorSpeed');
const CHUCK = slot('chuckSpeed');
const BODY = slot('bodySpeed');
const CLUTCH = slot('clutch');
const SLIP = slot('slipAngle');
const OUT = slot('gearOut');
const WORN = slot('clutchLost');
const PLAY_MORE = slot('playMore');
const PLAY_IN = slot('playIn');
const LOSS = slot('lossGear');
const LOSS_CLUTCH = slot('lossClutch');

const PERIOD = work('period');
const PER_RATIO = work('perRatio');
const FORTH = work('meshForth');
const BACK = work('meshBack');
const PLAY = work('play');
const LIMIT = work('slipLimit');

/** Beyond any angle: no contact in neutral, no slip of a locked clutch [rad]. */
const NEVER = 1e9;
const TURN = 6.283185307179586;

/** Ratio of the first `count` planetary stages with fixed rings: the product of 1 + ring/sun (Willis). */
export function gearRatio(p: Pick<GearParams, 'sunTeeth' | 'ringTeeth'>, count: number): number {
  let ratio = 1;
  for (let k = 0; k < count; k++) ratio *= 1 + p.ringTeeth[k] / p.sunTeeth[k];
  return ratio;
}

/** Efficiency of a stage from sun to carrier and from carrier to sun, with that of the held carrier given. */
export function stageEfficiency(sun: number, ring: number, basic: number): { forth: number; back: number } {
  const i0 = ring / sun;
  return { forth: (1 + i0 * basic) / (1 + i0), back: (1 + i0) / (1 + i0 / basic) };
}

/** What gear 0 (neutral), 1 and 2 mean for a step; made once. */
export interface GearMap {
  readonly ratio: Float64Array;
  readonly perRatio: Float64Array;
  /** Mesh friction at the input as a share of the torque passed, power flowing to the chuck and from it. */
  readonly forth: Float64Array;
  readonly back: Float64Array;
}

export function gearMap(p: GearParams): GearMap {
  const map = {
    ratio: new Float64Array(3),
    perRatio: new Float64Array(3),
    forth: new Float64Array(3),
    back: new Float64Array(3),
  };
  p.stagesInGear.forEach((count, index) => {
    const gear = index + 1;
    let forth = 1;
    let back = 1;
    for (let k = 0; k < count; k++) {
      const e = stageEfficiency(p.sunTeeth[k], p.ringTeeth[k], p.basicEfficiency[k]);
      forth *= e.forth;
      back *= e.back;
    }
    map.ratio[gear] = gearRatio(p, count);
    map.perRatio[gear] = 1 / map.ratio[gear];
    // Input = output / efficiency towards the chuck; what comes back is efficiency times what the chuck gives.
    map.forth[gear] = 1 / forth - 1;
    map.back[gear] = 1 - back;
  });
  return Object.freeze(map);
}

/** Part of the twist that bends the teeth [rad]: zero inside the free play. */
export function contactTwist(twist_rad: number, halfPlay_rad: number): number {
  if (twist_rad > halfPlay_rad) return twist_rad - halfPlay_rad;
  return twist_rad < -halfPlay_rad ? twist_rad + halfPlay_rad : 0;
}

/** Start of an update: selector, ratio, mesh, and the twist at which the clutch lets go. */
export function beginTransmission(x: Float64Array, w: Float64Array, p: DrillParams, map: GearMap): void {
  widen(x, p.gear);
  shift(x, w, p.gear, map);
  const gear = x[ENGAGED];
  w[PER_RATIO] = map.perRatio[gear];
  w[FORTH] = map.forth[gear];
  w[BACK] = map.back[gear];
  w[PLAY] = gear === 0 ? NEVER : halfPlay_rad(x, p.gear);
  w[LIMIT] = gear === 0 || x[CLUTCH] === 0 ? NEVER : ratchet_Nm(x, p.clutch) / p.gear.stiffness_Nm_rad;
  release(x, w, p.gear);
}

/** Half of the free play, worn as it is [rad]. */
export function halfPlay_rad(x: Float64Array, p: GearParams): number {
  return p.halfPlay_rad + x[PLAY_IN];
}

/** Takes free play that has grown, or healed, into force: teeth in contact stay so and keep their torque. */
function widen(x: Float64Array, p: GearParams): void {
  const grown = x[PLAY_MORE] - x[PLAY_IN];
  if (grown === 0) return;
  const before = halfPlay_rad(x, p);
  const bent = contactTwist(x[TWIST], before);
  x[PLAY_IN] = x[PLAY_MORE];
  const now = halfPlay_rad(x, p);
  if (bent !== 0) x[TWIST] = bent > 0 ? bent + now : bent - now;
  else x[TWIST] = Math.max(-now, Math.min(x[TWIST], now));
}

/** What the clutch does not hold any more, because its ratchet has moved on or its setting was lowered, slips at once. */
function release(x: Float64Array, w: Float64Array, p: GearParams): void {
  const bent = contactTwist(x[TWIST], w[PLAY]);
  const size = bent < 0 ? -bent : bent;
  const limit = w[LIMIT];
  if (size <= limit) return;
  const slip = bent < 0 ? limit - size : size - limit;
  x[TWIST] -= slip;
  x[SLIP] += slip;
  x[LOSS_CLUTCH] += 0.5 * p.stiffness_Nm_rad * (size * size - limit * limit);
}

function shift(x: Float64Array, w: Float64Array, p: GearParams, map: GearMap): void {
  const wish = x[OUT] === 0 ? x[GEAR] : 0;
  if (x[ENGAGED] !== 0 && x[ENGAGED] !== wish) {
    const bent = contactTwist(x[TWIST], halfPlay_rad(x, p));
    x[LOSS] += 0.5 * p.stiffness_Nm_rad * bent * bent;
    x[TWIST] = 0;
    x[ENGAGED] = 0;
    x[SHIFT] = p.shift_s;
  }
  if (x[ENGAGED] !== 0) return;
  x[TWIST] = 0;
  if (x[SHIFT] > 0) x[SHIFT] -= w[PERIOD];
  if (wish === 0 || x[SHIFT] > 0) return;
  const apart = x[ROTOR] * map.perRatio[wish] - x[CHUCK] + x[BODY];
  if (apart < p.engage_rad_s && apart > -p.engage_rad_s) x[ENGAGED] = wish;
}

/** Torque at which the clutch lets go at its present place between two detents [N·m]. */
function ratchet_Nm(x: Float64Array, p: ClutchParams): number {
  const setting = Math.min(x[CLUTCH], p.settings_Nm.length);
  const full = p.settings_Nm[setting - 1] * (1 - x[WORN]);
  const laps = ((x[SLIP] < 0 ? -x[SLIP] : x[SLIP]) * p.detents) / TURN;
  const place = laps - Math.floor(laps);
  // Down a short flank after the crest, up a long one to the next.
  const height = place < 0.3 ? 1 - place / 0.3 : (place - 0.3) / 0.7;
  return full * (p.ratchetShare + (1 - p.ratchetShare) * height);
}
