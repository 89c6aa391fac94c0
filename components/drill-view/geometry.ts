/** Shape of the drawing, in units of a 500 x 800 sheet, axis upright, nose down. */
import { TIP_Y, UNITS_PER_MM } from '../style/rows.ts';

/** Axis of motor, gears, chuck and screw. */
export const AXIS_X = 168;

/** The motor seen along its axis, from behind: a clockwise turn drives a screw in. */
export const SECTION = { x: AXIS_X, y: 232, radius: 122, bore: 91, rotor: 86 } as const;

/** Planet stages in the window of the gear housing, motor side first. */
export const STAGE_Y = [397, 426, 455] as const;
export const STAGE_HEIGHT = 21;
export const SUN_RADIUS = 12;
export const PLANET_RADIUS = 15;
/** Distance of the planets' centers from the axis. */
export const PLANET_AT = 28;

export const CHUCK = { top: 506, bottom: 542, radius: 49, ribs: 18, holes: 3 } as const;

/** A 60 mm screw: head at the top, tip fixed. */
export const SCREW = {
  head: TIP_Y - 60 * UNITS_PER_MM,
  threadTop: TIP_Y - 44 * UNITS_PER_MM,
  threadBottom: TIP_Y - 4,
  radius: 10,
  core: 5.5,
} as const;

/** Point on the section at an electrical angle, clockwise from the top. */
export function polar(radius: number, angle_deg: number): readonly [number, number] {
  const a = (angle_deg * Math.PI) / 180;
  return [SECTION.x + radius * Math.sin(a), SECTION.y - radius * Math.cos(a)];
}

/** Path of a ring segment about the center of the section. */
export function segment(inner: number, outer: number, from_deg: number, to_deg: number): string {
  const large = to_deg - from_deg > 180 ? 1 : 0;
  const p = (r: number, a: number) =>
    polar(r, a)
      .map((v) => v.toFixed(1))
      .join(' ');
  return (
    `M${p(outer, from_deg)}A${outer} ${outer} 0 ${large} 1 ${p(outer, to_deg)}` +
    `L${p(inner, to_deg)}A${inner} ${inner} 0 ${large} 0 ${p(inner, from_deg)}Z`
  );
}
