/** Marks of a scale in steps of 1, 2 and 5, and times as they are written at the edge of the paper. */

export interface Scale {
  readonly low: number;
  readonly high: number;
  readonly marks: readonly number[];
}

/** The least step of the sequence 1, 2, 5, 10, ... that is not below a value. */
export function roundStep(least: number): number {
  const power = 10 ** Math.floor(Math.log10(least));
  const digit = least / power;
  // Ten hours into a run the difference of two times is known to a millionth of 10 us.
  const slack = 1 + 1e-6;
  return power * (digit <= slack ? 1 : digit <= 2 * slack ? 2 : digit <= 5 * slack ? 5 : 10);
}

/** Multiples of a step from `low` to `high`, without the dust of repeated addition. */
export function multiples(low: number, high: number, step: number): number[] {
  const out: number[] = [];
  const digits = Math.max(0, -Math.floor(Math.log10(step)) + 1);
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + step * 1e-9; k++) {
    out.push(digits > 12 ? k * step : Number((k * step).toFixed(digits)));
  }
  return out;
}

/** Into how many steps a lane of this height is cut [px]; fewer would make its ends too coarse. */
export const marksFor = (height: number): number => Math.max(3, Math.min(5, Math.floor(height / 22)));

/** A scale that holds `low` to `high`, its ends on marks. */
export function roundScale(low: number, high: number, intervals: number): Scale {
  const step = roundStep((high - low) / intervals);
  const from = Math.floor(low / step + 1e-9) * step;
  const to = Math.ceil(high / step - 1e-9) * step;
  const marks = multiples(from, to, step);
  return { low: marks[0], high: marks[marks.length - 1], marks };
}

/** Exactly these ends, as a person set them; marks inside. */
export function exactScale(low: number, high: number, intervals: number): Scale {
  return { low, high, marks: multiples(low, high, roundStep((high - low) / intervals)) };
}

export interface TimeAxis {
  readonly ticks: readonly { readonly at_s: number; readonly text: string }[];
  /** Written once at the left: the time that the ticks are counted from, '' when they stand for themselves. */
  readonly base: string;
}

const THIN = '\u202f';

/** Times for a stretch; fine ones are counted from a round time at the left, so that they stay short hours into a run. */
export function timeAxis(from_s: number, to_s: number, most: number): TimeAxis {
  const step_s = roundStep((to_s - from_s) / Math.max(1, most));
  const ticks = multiples(from_s, to_s, step_s);
  if (step_s >= 0.01) {
    const digits = Math.max(0, -Math.floor(Math.log10(step_s) + 1e-9));
    return { base: '', ticks: ticks.map((at_s) => ({ at_s, text: `${at_s.toFixed(digits)}${THIN}s` })) };
  }
  // The base is a whole count of a step well above the ticks, so that it stands still while the paper moves.
  const coarse_s = 100 * 10 ** Math.floor(Math.log10(step_s) + 1e-9);
  const base_s = Math.floor(from_s / coarse_s + 1e-9) * coarse_s;
  const digits = Math.max(0, -Math.round(Math.log10(coarse_s)));
  const micro = step_s < 1e-4 - 1e-12;
  const unit_s = micro ? 1e-6 : 1e-3;
  const fine = Math.max(0, -Math.floor(Math.log10(step_s / unit_s) + 1e-9));
  return {
    base: `${grouped(base_s.toFixed(digits))}${THIN}s`,
    ticks: ticks.map((at_s) => ({
      at_s,
      text: `+${((at_s - base_s) / unit_s).toFixed(fine)}${THIN}${micro ? 'µs' : 'ms'}`,
    })),
  };
}

/** Decimals in threes. */
export function grouped(text: string): string {
  const [whole, decimals] = text.split('.');
  return decimals === undefined ? whole : `${whole}.${decimals.replace(/(\d{3})(?=\d)/g, `$1${THIN}`)}`;
}
