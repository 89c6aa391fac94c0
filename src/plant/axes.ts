/** The three phase axes in the stator frame, 120 degrees apart, and which leg feeds which phase. */
import { slot } from './slots.ts';

/** cos and sin of the phase axes. */
export const AXIS_ALPHA = Float64Array.of(1, -0.5, -0.5);
export const AXIS_BETA = Float64Array.of(0, 0.8660254037844386, -0.8660254037844386);

/** Phase at leg k for each value of the slot `wiring`: as drawn, A and B swapped, B and C, A and C. */
export const PHASE_OF_LEG = Uint8Array.of(0, 1, 2, 1, 0, 2, 0, 2, 1, 2, 1, 0);

const WIRING = slot('wiring');
const I_A = slot('iAlpha');
const I_B = slot('iBeta');

/** Current of phase k from the alpha-beta current [A]. */
export function phaseCurrent_A(k: number, iAlpha_A: number, iBeta_A: number): number {
  return AXIS_ALPHA[k] * iAlpha_A + AXIS_BETA[k] * iBeta_A;
}

/** Current out of leg k into the motor [A]. */
export function legCurrent_A(x: Float64Array, k: number): number {
  const phase = PHASE_OF_LEG[3 * x[WIRING] + k];
  return AXIS_ALPHA[phase] * x[I_A] + AXIS_BETA[phase] * x[I_B];
}
