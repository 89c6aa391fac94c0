/**
 * A breaking point on the axis of its size: every size that was tried with how it ended, the bracket in which the check
 * flips, and the size that is asked for. Holding and failing differ by shape, not by color alone.
 */
import type { BreakOutcome, PointResult } from '../campaign/results.ts';
import { short } from './curves.ts';
import { escaped } from './escape.ts';
import { type Html, raw } from './html.ts';
import { markText, scaleOf } from './scale.ts';

const WIDTH = 440;
const HEIGHT = 78;
const LEFT = 16;
const RIGHT = 424;
const AXIS = 44;

export interface Tried {
  readonly size: number;
  /** pass, fail, or anything else. */ readonly verdict: string;
}

/** The sizes of a case that were tried, with the verdict of the check that is searched. */
export function triedOf({ place, check, case: at }: BreakOutcome, points: readonly PointResult[]): Tried[] {
  return points.flatMap((point): Tried[] => {
    if (point.point !== at) return [];
    const size = Number.parseFloat(String(point.values[place]));
    if (!Number.isFinite(size)) return [];
    const one = check === 'any' ? undefined : point.checks.find(({ name }) => name === check);
    const whole = point.verdict === 'passed' ? 'pass' : point.verdict === 'failed' ? 'fail' : point.verdict;
    return [{ size, verdict: check === 'any' ? whole : (one?.verdict ?? 'not evaluated') }];
  });
}

/** @param id unique in the file */
export function rulerSvg(found: BreakOutcome, tried: readonly Tried[], id: string): Html | undefined {
  const { holds, fails, asked, unit } = found;
  const known = [...tried.map(({ size }) => size), holds, fails, asked].filter((each): each is number => each !== null);
  if (known.length === 0) return undefined;
  const scale = scaleOf(Math.min(...known), Math.max(...known), 5, 0.02);
  const x = (size: number) => LEFT + ((size - scale.low) / (scale.high - scale.low)) * (RIGHT - LEFT);
  const marks = scale.marks.map((mark) => {
    const at = short(x(mark));
    return `<path class="rule" d="M${at} ${AXIS}v5"/><text class="middle" x="${at}" y="${AXIS + 19}">${markText(mark, scale.places)}</text>`;
  });
  const dots = tried.map(({ size, verdict }) => dot(x(size), verdict));
  return raw(`<svg class="plot ruler" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-labelledby="${id}-t"><title id="${id}-t">${escaped(`Sizes that were tried, ${found.place}${unit === '' ? '' : ` in ${unit}`}`)}</title>
<path class="edge" d="M${LEFT} ${AXIS}H${RIGHT}"/>${marks.join('')}<text class="end" x="${RIGHT}" y="${HEIGHT - 2}">${escaped(unit === '' ? found.place : `${found.place} [${unit}]`)}</text>
${bracket(found, x)}${dots.join('')}${asked === null ? '' : askedMark(x(asked))}</svg>`);
}

function dot(x: number, verdict: string): string {
  if (verdict === 'pass') return `<circle class="mark p" cx="${short(x)}" cy="${AXIS - 12}" r="4"/>`;
  if (verdict === 'fail') return `<path class="mark f" d="M${short(x - 4)} ${AXIS - 16}l8 8m0 -8l-8 8"/>`;
  return `<path class="mark n" d="M${short(x)} ${AXIS - 17}v10"/>`;
}

/** From the last size that holds to the first that does not; where it holds, a bar, where not, a hatched one is left out. */
function bracket({ holds, fails }: BreakOutcome, x: (size: number) => number): string {
  const parts: string[] = [];
  if (holds !== null && fails !== null) {
    const [from, to] = [Math.min(x(holds), x(fails)), Math.max(x(holds), x(fails))];
    const wide = Math.max(2, to - from);
    parts.push(`<rect class="gap" x="${short(from)}" y="${AXIS - 24}" width="${short(wide)}" height="24"/>`);
  }
  return parts.join('');
}

const askedMark = (x: number): string =>
  `<path class="asked" d="M${short(x)} ${AXIS}V14"/><text class="strong ${x > (LEFT + RIGHT) / 2 ? 'end' : ''}" x="${short(x + (x > (LEFT + RIGHT) / 2 ? -5 : 5))}" y="12">asked for</text>`;
