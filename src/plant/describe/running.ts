/**
 * Speed without load and torque at stall, from the balance of torque and voltage.
 *
 * No-load friction, iron, windage and, in gear, the bearing of the chuck through the mesh ask for a torque that rises with
 *         speed; the current for it and the EMF use up the voltage. One bisection each.
 *         block: supply = loop resistance * current + constant * speed + 3/pi we L current, at full duty. The last term
 *                is what the overlap costs while the current passes from one phase to the next, as in a six-pulse
 *                rectifier (from memory).
 *         sine:  |v| = link / sqrt 3, the limit of a sinusoidal line voltage, with all current on the q axis; the link
 *                carries the power. Dead time is left out.
 * Stall   block at full duty, torque averaged over 60 degrees; dry friction of rotor, mesh and chuck is taken off.
 */
import type { DrillParams } from '../params.ts';
import { gearMap } from '../transmission.ts';
import type { Circuit } from './circuit.ts';

/** 0 the motor alone, 1 low, 2 high. */
export type Gear = 0 | 1 | 2;

const HALVINGS = 60;
const ROOT_3 = Math.sqrt(3);

/** Torque that turning asks of the rotor [N·m]: dry part and whole at a speed [rad/s]. */
export function brakes(
  p: DrillParams,
  c: Circuit,
  gear: Gear,
  speed_rad_s: number,
): { dry_Nm: number; all_Nm: number } {
  const { winding: m, shaft: s } = p;
  const psi2 = c.magnet_Wb * c.magnet_Wb;
  const dry_Nm = s.rotorFriction_Nm + m.polePairs * m.ironHysteresis_S_s * psi2;
  const eddy = m.polePairs * m.polePairs * m.ironEddy_S * psi2;
  const drag = s.rotorViscous_Nms + s.windage_Nms2 * speed_rad_s + eddy;
  const { ratio, forth } = gearMap(p.gear);
  const chuck = gear === 0 ? 0 : (s.chuckFriction_Nm / ratio[gear]) * (1 + forth[gear]);
  return { dry_Nm, all_Nm: dry_Nm + drag * speed_rad_s + chuck };
}

/** Largest speed below `most` at which `spare` is not negative yet; 0 when there is none. */
function balance(most: number, spare: (speed: number) => number): number {
  let low = 0;
  let high = most;
  for (let k = 0; k < HALVINGS; k++) {
    const middle = 0.5 * (low + high);
    if (spare(middle) >= 0) low = middle;
    else high = middle;
  }
  return low;
}

/** Motor speed [rad/s] and current [A] under block commutation at full duty. */
export function noLoadBlock(p: DrillParams, c: Circuit, gear: Gear): { speed_rad_s: number; current_A: number } {
  const current = (speed: number) => brakes(p, c, gear, speed).all_Nm / c.block_Nm_A;
  const { polePairs, ld_H, lq_H } = p.winding;
  const overlap = (3 / Math.PI) * polePairs * 0.5 * (ld_H + lq_H);
  const spare = (speed: number) => c.nominal_V - (c.loop_ohm + overlap * speed) * current(speed) - c.block_Nm_A * speed;
  const speed_rad_s = balance(c.nominal_V / c.block_Nm_A, spare);
  return { speed_rad_s, current_A: current(speed_rad_s) };
}

/** Motor speed [rad/s] and peak phase current [A] under a sinusoidal voltage at its limit, no d current. */
export function noLoadSine(p: DrillParams, c: Circuit, gear: Gear): { speed_rad_s: number; current_A: number } {
  const { polePairs, lq_H } = p.winding;
  // A leg is on its low side, and so on its shunt, for half of the time.
  const ohm = c.phase_ohm + c.switch_ohm + 0.5 * p.bridge.shunt_ohm;
  const current = (speed: number) => brakes(p, c, gear, speed).all_Nm / c.sine_Nm_A;
  const spare = (speed: number) => {
    const iq = current(speed);
    const we = polePairs * speed;
    const vd = -we * lq_H * iq;
    const vq = ohm * iq + we * c.magnet_Wb;
    const left = c.nominal_V * c.nominal_V - 4 * c.pack_ohm * 1.5 * vq * iq;
    const link = left > 0 ? 0.5 * (c.nominal_V + Math.sqrt(left)) : 0;
    return link / ROOT_3 - Math.sqrt(vd * vd + vq * vq);
  };
  const speed_rad_s = balance(c.nominal_V / (ROOT_3 * polePairs * c.magnet_Wb), spare);
  return { speed_rad_s, current_A: current(speed_rad_s) };
}

/** Torque [N·m] at the rotor, or at the chuck in gear, that a current of two phases [A] holds against a stop. */
export function stall_Nm(p: DrillParams, c: Circuit, gear: Gear, current_A: number): number {
  const rotor = c.block_Nm_A * current_A;
  if (gear === 0) return rotor;
  const { ratio, forth } = gearMap(p.gear);
  const free = rotor - brakes(p, c, gear, 0).dry_Nm;
  const chuck = (free * ratio[gear]) / (1 + forth[gear]) - p.shaft.chuckFriction_Nm;
  return Math.max(chuck, 0);
}
