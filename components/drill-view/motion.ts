/**
 * When a moving part may be drawn as it stands, and where its marks then are. Pure geometry: angles in, numbers out.
 *
 * A pattern that repeats must not move far between two pictures, or it seems to stand or to turn backwards. The sampling theorem
 * allows half a repetition at most; a third leaves the eye a choice it cannot get wrong.
 */

const TAU = 2 * Math.PI;
/** Electrical turns between two pictures up to which the section is drawn turning. */
const TURNS_DRAWN = 1 / 8;
/** Once held it turns again only below this, so that the choice does not flicker. */
const TURNS_BACK = 1 / 10;
/** With stills instead of motion, turning is drawn only when it is as good as standing. */
const TURNS_STILL = 1e-3;
/** Part of its own spacing that a pattern may move between two pictures. */
const SPACING_DRAWN = 1 / 3;

/** Whether the section is held to the rotor. @param turns electrical turns between two pictures */
export function isHeld(turns: number, before: boolean, stills: boolean): boolean {
  const t = Math.abs(turns);
  return t > (before ? TURNS_BACK : TURNS_DRAWN) || (stills && t > TURNS_STILL);
}

/** Whether `count` marks around a cylinder can be drawn one by one. @param step_rad turn between two pictures */
export function marksSeen(step_rad: number, count: number): boolean {
  return (Math.abs(step_rad) / TAU) * count < SPACING_DRAWN;
}

/**
 * How far the crests of a thread have climbed from where they stand at angle zero, 0 to one pitch. A turn in lifts them by one
 * pitch: the board, lifted by the same, keeps its place between them.
 */
export function threadClimb(angle_rad: number, pitch: number): number {
  const turns = angle_rad / TAU;
  return (turns - Math.floor(turns)) * pitch;
}

/** Angle without jumps: the one nearest to `before` that is `wrapped` up to whole turns. */
export function unwrap(before_rad: number, wrapped_rad: number): number {
  return wrapped_rad + TAU * Math.round((before_rad - wrapped_rad) / TAU);
}

/** Angle from one to another, -pi to pi. */
export function between(from_rad: number, to_rad: number): number {
  const a = to_rad - from_rad;
  return a - TAU * Math.round(a / TAU);
}

/** Twist of the tool up to which a wrist is at ease, and the end of the scale [degrees]; chosen here, illustrative. */
export const WRIST = { ease: 15, end: 25 } as const;

export interface Needle {
  /** Where the needle points, kept on the scale [degrees]. */ readonly at: number;
  /** Past what is comfortable. */ readonly past: boolean;
  /** Past the end of the scale: the needle stands at its stop. */ readonly off: boolean;
}

/** The tool body seen from above: clockwise is positive, as for the chuck. */
export function wristNeedle(body_rad: number): Needle {
  const deg = (body_rad / Math.PI) * 180;
  const off = Math.abs(deg) > WRIST.end;
  return { at: off ? Math.sign(deg) * WRIST.end : deg, past: Math.abs(deg) > WRIST.ease, off };
}

/** Width at which a body that turned away about the axis of the drill is seen from the side, 1 when it has not. */
export function seenWidth(body_rad: number): number {
  return Math.max(0.3, Math.cos(body_rad));
}

/** Share of the tooth up which the ratchet has climbed; it drops over the last fifth. */
const CLIMB = 0.8;

/** How high the clutch ring rides on its teeth, 0 to 1. */
export function ratchetLift(slip_rad: number, detents: number): number {
  const teeth = (Math.abs(slip_rad) / TAU) * detents;
  const share = teeth - Math.floor(teeth);
  return share < CLIMB ? share / CLIMB : (1 - share) / (1 - CLIMB);
}

const LINES = 5;
const WARM_K = 273.15 + 40;
const SPAN_K = 100;

/** Hatch lines for a temperature: none up to 40 °C, five from 140 °C on. */
export function heatLines(heat_K: number): number {
  return Math.max(0, Math.min(LINES, Math.floor(((heat_K - WARM_K) / SPAN_K) * LINES)));
}
