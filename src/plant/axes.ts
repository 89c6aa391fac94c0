/** The three phase axes in the stator frame, 120 degrees apart. */

/** cos and sin of the phase axes. */
export const AXIS_ALPHA = Float64Array.of(1, -0.5, -0.5);
export const AXIS_BETA = Float64Array.of(0, 0.8660254037844386, -0.8660254037844386);

/** Current of phase k from the alpha-beta current [A]. */
export function phaseCurrent_A(k: number, iAlpha_A: number, iBeta_A: number): number {
  return AXIS_ALPHA[k] * iAlpha_A + AXIS_BETA[k] * iBeta_A;
}
