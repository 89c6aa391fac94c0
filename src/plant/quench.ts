/**
 * A phase is cut off while it carries current: a wire breaks, a fault heals, phases are swapped.
 *
 * Model   the current has nowhere to go; an arc takes the field energy that belongs to it at once. The flux moves along the
 *         axis of the phase until its current is zero, or to the magnet's own when no phase is left.
 * Scheme  Newton, to rounding; the loss is the difference of the field energies, so the books close whatever the jump.
 */
import { AXIS_ALPHA, AXIS_BETA } from './axes.ts';
import { W } from './columns.ts';
import { slot } from './slots.ts';
import { currentD, currentQ, fieldEnergy, magnetD_Wb, magnetQ_Wb, type WindingMap } from './winding.ts';

const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');
const I_A = slot('iAlpha');
const I_B = slot('iBeta');
const COS = slot('cos');
const SIN = slot('sin');
const MAGNET = slot('magnet');
const LOOP = slot('loopCurrent');
const LOSS = slot('lossDiode');

/** Less than this is what locating a zero leaves [A]. */
const NONE_A = 1e-4;
const ROUNDS = 12;

/** Brings the current of blocked phases to zero, if it is not. */
export function quench(x: Float64Array, w: Float64Array, p: WindingMap): void {
  const k = w[W.blocked] | 0;
  if (k < 0) return;
  const along = k === 3 ? 0 : AXIS_ALPHA[k] * x[I_A] + AXIS_BETA[k] * x[I_B];
  const left = k === 3 ? x[I_A] * x[I_A] + x[I_B] * x[I_B] : along * along;
  if (left < NONE_A * NONE_A) return;
  const c = x[COS];
  const s = x[SIN];
  const md = magnetD_Wb(p, x[MAGNET], c, s);
  const mq = magnetQ_Wb(p, x[MAGNET], c, s);
  let d = c * x[PSI_A] + s * x[PSI_B] - md;
  let q = c * x[PSI_B] - s * x[PSI_A] - mq;
  const before = fieldEnergy(p, d, q);
  // Shorted turns carry on: the field keeps what answers their loop.
  const ring = (2 / 3) * w[W.turns] * x[LOOP];
  if (k === 3) {
    for (let round = 0; round < ROUNDS; round++) {
      const gdd = p.gd + d * (2 * p.satD2 + 3 * p.satD3 * d);
      const gqq = p.gq + 3 * p.satQ3 * q * q + 2 * p.satCross * d;
      const gdq = 2 * p.satCross * q;
      const id = currentD(p, d, q) + c * ring;
      const iq = currentQ(p, d, q) - s * ring;
      const per = 1 / (gdd * gqq - gdq * gdq);
      d -= per * (gqq * id - gdq * iq);
      q -= per * (gdd * iq - gdq * id);
    }
  } else {
    const ud = c * AXIS_ALPHA[k] + s * AXIS_BETA[k];
    const uq = c * AXIS_BETA[k] - s * AXIS_ALPHA[k];
    for (let round = 0; round < ROUNDS; round++) {
      const gdd = p.gd + d * (2 * p.satD2 + 3 * p.satD3 * d);
      const gqq = p.gq + 3 * p.satQ3 * q * q + 2 * p.satCross * d;
      const i = ud * currentD(p, d, q) + uq * currentQ(p, d, q) + AXIS_ALPHA[k] * ring;
      const far = -i / (ud * ud * gdd + uq * uq * gqq + 4 * ud * uq * p.satCross * q);
      d += far * ud;
      q += far * uq;
    }
  }
  x[LOSS] += before - fieldEnergy(p, d, q);
  x[PSI_A] = c * (d + md) - s * (q + mq);
  x[PSI_B] = s * (d + md) + c * (q + mq);
  const id = currentD(p, d, q);
  const iq = currentQ(p, d, q);
  x[I_A] = c * id - s * iq + ring;
  x[I_B] = s * id + c * iq;
}
