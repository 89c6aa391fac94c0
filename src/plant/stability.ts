/**
 * Would a step be stable for these parameters? Asked when a plant is made, so that it is refused before it runs.
 *
 * Scheme  what a step solves by one correction or explicitly must change little within it:
 *         current     h R / 2 L, the share of an error in the mean current that a correction leaves;
 *         teeth       h^2 k (1/Jchuck + 1/Jrotor'), the explicit spring, against 4, its limit;
 *         frame       electrical angle of a step at the speed where the EMF meets a full pack;
 *         contact     h d / J, the explicit damper of the teeth.
 */
import { circuit_ohm } from './kernel-map.ts';
import type { DrillParams } from './params.ts';
import { gearRatio } from './transmission.ts';

/** No rotor of this kind turns faster: 48 000 rpm [rad/s]. */
const FASTEST_RAD_S = 5000;

function atMost(what: string, value: number, most: number, remedy: string): void {
  if (value <= most) return;
  throw new RangeError(`step: ${what} is ${Number(value.toPrecision(3))}; allowed is at most ${most}: ${remedy}`);
}

/** Throws RangeError naming the ratio, its value and its limit. */
export function requireStable(p: DrillParams, h_s: number): void {
  const { winding: m, gear: g, shaft: s } = p;
  const ohm = circuit_ohm(p);
  const least = Math.min(m.ld_H, m.lq_H);
  const shorter = 'take a shorter step, or check resistances and inductances';
  atMost('h R / 2 L of the winding', (h_s * ohm) / (2 * least), 0.05, shorter);
  const low = gearRatio(g, g.stagesInGear[1]);
  const perInertia = 1 / s.chuck_kgm2 + 1 / (s.rotor_kgm2 * low * low);
  atMost(
    'h² k / J of gear and chuck',
    h_s * h_s * g.stiffness_Nm_rad * perInertia,
    0.1,
    'take a shorter step, a softer gear or a heavier chuck',
  );
  atMost('h d / J of gear and chuck', h_s * g.damping_Nms * perInertia, 0.1, 'take a shorter step or less damping');
  const full = p.pack.series * p.pack.ocvCell_V[p.pack.ocvCell_V.length - 1];
  const fastest = Math.min(full / m.magnet_Wb, FASTEST_RAD_S * m.polePairs);
  atMost('electrical angle of a step at the highest speed', h_s * fastest, 0.2, 'take a shorter step');
}
