/** What the two marks read: asks for every sample between them, and says so where not every one is kept any more. */
import type { Channel, Looked } from '../../worker/api.ts';
import type { ChannelInfo } from './channels.ts';
import { DETAIL_S, type Past } from './feed.ts';
import { type Measured, measure, measureSteps, reach, stepAt } from './measure.ts';

/** More values than ten seconds at 40 kHz are never kept singly. */
const ALL = 400_000;

export interface Reading extends Partial<Measured> {
  readonly at1?: number;
  readonly at2?: number;
}

export interface Readings {
  /** One a channel, in the order asked, as shown: in the unit of the channel. */ readonly rows: readonly Reading[];
  readonly how: 'samples' | 'steps' | 'spans';
}

/** Reads a stretch; marks that are not set give no value of their own. */
export async function read(
  past: Past,
  infos: readonly ChannelInfo[],
  marks: readonly (number | undefined)[],
  sight: { readonly from_s: number; readonly to_s: number },
  steps: boolean,
): Promise<Readings> {
  const channels = infos.map(({ channel }) => channel);
  const [one, two] = marks;
  const both = one !== undefined && two !== undefined;
  const from_s = Math.max(0, both ? Math.min(one, two) : sight.from_s);
  const to_s = both ? Math.max(one, two) : sight.to_s;
  if (steps && to_s - from_s <= DETAIL_S && to_s > from_s) {
    const detail = await past.detail(from_s, to_s, channels);
    if (!('why' in detail)) {
      const rows = detail.data.map((data) => ({
        ...measureSteps(detail.at_s, data, to_s - detail.from_s),
        ...valuesAt(marks, (at_s) => data[stepAt(detail.at_s, at_s - detail.from_s)]),
      }));
      return { rows: shown(rows, infos), how: 'steps' };
    }
  }
  const looked = await past.look({ run: 'now', channels, from_s, to_s, points: ALL });
  const singles = await Promise.all(
    marks.map((at_s) => (at_s === undefined ? undefined : single(past, channels, at_s))),
  );
  const rows = looked.data.map((data, k): Reading => {
    const at = (mark: number): number | undefined => singles[mark]?.[k];
    const ends = { ...(one === undefined ? {} : { at1: at(0) }), ...(two === undefined ? {} : { at2: at(1) }) };
    return { ...over(looked, data, from_s, to_s), ...(ends as Reading) };
  });
  return { rows: shown(rows, infos), how: looked.kind === 'values' ? 'samples' : 'spans' };
}

function over(looked: Looked, data: Float32Array, from_s: number, to_s: number): Reading {
  const { step_s } = looked;
  // A little slack: marks stand on periods, up to the rounding of a float64.
  const first = Math.ceil((from_s - looked.from_s) / step_s - 0.01);
  const end = Math.ceil((to_s - looked.from_s) / step_s - 0.01);
  return looked.kind === 'values' ? measure(data, first, end, step_s) : reach(data, Math.max(0, first - 1), end);
}

/** The value of the period that ends at or before a moment. */
async function single(past: Past, channels: readonly Channel[], at_s: number): Promise<readonly number[]> {
  const looked = await past.look({
    run: 'now',
    channels,
    from_s: Math.max(0, at_s - 2e-4),
    to_s: at_s + 1e-6,
    points: ALL,
  });
  if (looked.kind !== 'values') return channels.map(() => Number.NaN);
  const place = Math.floor((at_s - looked.from_s) / looked.step_s + 0.01);
  return looked.data.map((data) => data[Math.min(place, data.length - 1)] ?? Number.NaN);
}

function valuesAt(marks: readonly (number | undefined)[], value: (at_s: number) => number): Reading {
  const [one, two] = marks;
  return { ...(one === undefined ? {} : { at1: value(one) }), ...(two === undefined ? {} : { at2: value(two) }) };
}

/** From SI to the unit of the channel; the root of a mean square has no offset to take off, so it is NaN where there is one. */
function shown(rows: readonly Reading[], infos: readonly ChannelInfo[]): Reading[] {
  return rows.map((row, k) => {
    const { factor, offset } = infos[k];
    const out: Record<string, number> = {};
    for (const [key, value] of Object.entries(row)) {
      if (key === 'own_Hz') out[key] = value;
      else if (key === 'rms') out[key] = offset === 0 ? value / factor : Number.NaN;
      else out[key] = (value - offset) / factor;
    }
    return out as Reading;
  });
}
