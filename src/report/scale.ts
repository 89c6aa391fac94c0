/** Axes: round marks inside a range, and numbers as short as the marks allow. */

export interface Scale {
  readonly low: number;
  readonly high: number;
  readonly marks: readonly number[];
  /** Digits after the point of a mark. */ readonly places: number;
}

/** Steps between marks, within a power of ten. */
const STEPS = [1, 2, 5, 10];
/** Rounding that must not cost a mark at the end of a range. */
const SLACK = 1e-9;

/** Round marks within a range, about `count` of them; `margin` is the share of the range that is added at both ends. */
export function scaleOf(least: number, greatest: number, count: number, margin = 0): Scale {
  const middle = (least + greatest) / 2;
  // A trace that does not move still needs a scale: a tenth of its size, or one to each side.
  const flat = greatest - least <= 1e-9 * Math.max(Math.abs(least), Math.abs(greatest));
  const half = flat ? Math.abs(middle) * 0.1 || 1 : (greatest - least) * (0.5 + margin);
  const [low, high] = [middle - half, middle + half];
  const rough = (high - low) / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const wish = STEPS.findIndex((each) => each * power >= rough * (1 - SLACK));
  const marksOf = (step: number): number[] => {
    const first = Math.ceil(low / step - SLACK);
    const last = Math.floor(high / step + SLACK);
    return Array.from({ length: last - first + 1 }, (_, k) => (first + k) * step);
  };
  // Two marks at least tell a scale; around zero a step just above half the range would leave zero alone.
  const few = wish > 0 && marksOf(STEPS[wish] * power).length < 2;
  const step = STEPS[few ? wish - 1 : wish < 0 ? STEPS.length - 1 : wish] * power;
  const marks = marksOf(step);
  return { low, high, marks, places: Math.max(0, -Math.floor(Math.log10(step) + SLACK)) };
}

/** A mark as text, with a real minus. */
export function markText(value: number, places: number): string {
  const text = Math.abs(value).toFixed(places);
  return value < 0 && Number(text) !== 0 ? `\u2212${text}` : text;
}
