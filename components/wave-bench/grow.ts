/**
 * A live view asks only for what is new: columns begin at whole multiples of their length, so those that are full stay as they
 * are, and the last two and what came after them are put behind.
 */
import type { Looked } from '../../worker/api.ts';

/** What to ask for so that the answer has columns of the same length, beginning where the last but one began. */
export interface Piece {
  readonly from_s: number;
  readonly to_s: number;
  readonly points: number;
  /** Columns of the old answer that stay. */ readonly kept: number;
}

/**
 * @param known_s time up to which the old answer knew the run
 * @param period_s of the PWM
 */
export function pieceFor(looked: Looked, known_s: number, now_s: number, period_s: number): Piece | undefined {
  if (looked.kind !== 'spans' || looked.data.length === 0 || now_s <= known_s) return undefined;
  const { from_s, step_s } = looked;
  const kept = Math.floor((known_s - from_s) / step_s) - 1;
  if (kept < 1 || kept > looked.data[0].length / 2) return undefined;
  const begin_s = from_s + kept * step_s;
  const points = Math.max(2, Math.ceil((now_s - begin_s) / step_s));
  // Half a period on: then rounding cannot take in the period before, or leave out the last one.
  const half_s = period_s / 2;
  return { from_s: begin_s + half_s, to_s: begin_s + points * step_s + half_s, points, kept };
}

/** The old answer from `from_s` on, with the piece behind it; undefined when the piece does not fit. */
export function grown(looked: Looked, piece: Looked, { kept }: Piece, from_s: number): Looked | undefined {
  const { step_s } = looked;
  const begin_s = looked.from_s + kept * step_s;
  const fits = piece.kind === 'spans' && Math.abs(piece.step_s - step_s) < step_s * 1e-6;
  if (!fits || Math.abs(piece.from_s - begin_s) > step_s * 1e-3) return undefined;
  const dropped = Math.max(0, Math.min(kept, Math.floor((from_s - looked.from_s) / step_s)));
  const data = looked.data.map((old, k) => {
    const fresh = piece.data[k];
    const out = new Float32Array(2 * (kept - dropped) + fresh.length);
    out.set(old.subarray(2 * dropped, 2 * kept));
    out.set(fresh, 2 * (kept - dropped));
    return out;
  });
  const gaps = [...looked.gaps.filter(([at_s]) => at_s < piece.from_s), ...piece.gaps];
  return { ...piece, from_s: looked.from_s + dropped * step_s, data, gaps };
}
