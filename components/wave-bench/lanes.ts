/** Which trace goes into which lane, how it is stroked, and where the lanes stand. */
import type { Origin } from '../../src/signals.ts';
import type { ColorName } from '../waves/palette.ts';
import type { ChannelInfo } from './channels.ts';

export interface Trace extends ChannelInfo {
  /** Place among everything that is asked for. */ readonly place: number;
  readonly color: ColorName;
  /** Tells it apart where color and stroke cannot. */ readonly tag: string;
}

export interface LanePlan {
  readonly key: string;
  readonly unit: string;
  readonly traces: readonly Trace[];
}

/** Line width by who says so [px]; brief of the page: solid true, dashed estimated, dotted sensed, thin and stepped asked. */
export const WIDTH: Readonly<Record<Origin, number>> = { truth: 1.9, estimated: 1.9, sensed: 2.8, commanded: 1.1 };

const BY_LETTER: Readonly<Record<string, ColorName>> = { A: 'a', B: 'b', C: 'c', d: 'ink2', q: 'i' };
/** For those without a letter, the first that is free in their lane. */
const FREE: readonly ColorName[] = ['ink', 'i', 'c', 'b', 'ink2', 'a'];

/**
 * Lanes in the order in which their first trace was picked: one a unit; numbers without a unit are codes, each in a lane of
 * its own; so is what a person wants apart.
 */
export function planLanes(picked: readonly ChannelInfo[], apart: ReadonlySet<string>): readonly LanePlan[] {
  const lanes = new Map<string, ChannelInfo[]>();
  for (const info of picked) {
    const key = info.unit === '' || apart.has(info.channel) ? info.channel : info.unit;
    lanes.set(key, [...(lanes.get(key) ?? []), info]);
  }
  return [...lanes].map(([key, infos]) => ({ key, unit: infos[0].unit, traces: colored(infos, picked) }));
}

function colored(infos: readonly ChannelInfo[], picked: readonly ChannelInfo[]): Trace[] {
  const lettered = infos.map(({ letter }) => BY_LETTER[letter]).filter((color) => color !== undefined);
  const used = new Set<ColorName>(lettered);
  // A and the estimate look alike to some eyes: they never share a lane.
  const estimate: ColorName = used.has('a') ? 'ink' : 'e';
  return infos.map((info, k) => {
    let color = BY_LETTER[info.letter];
    if (color === undefined && info.origin === 'estimated') color = estimate;
    color ??= FREE.find((c) => !used.has(c)) ?? 'ink';
    used.add(color);
    const tag = infos.length === 1 ? '' : info.letter || String(k + 1);
    return { ...info, color, tag, place: picked.indexOf(info) };
  });
}

export interface LaneBox {
  /** Of the lane with its name line. */ readonly top: number;
  readonly height: number;
  /** Where values stand. */ readonly plotTop: number;
  readonly plotBottom: number;
}

/** Least height of a lane, in root font sizes: a name line and two marks of its scale. */
const LEAST_REM = 3.7;
const NAME_REM = 1.75;

/** Height that the lanes want [px]. */
export const heightFor = (count: number, rem: number, room: number): number =>
  Math.max(room, Math.ceil(count * LEAST_REM * rem));

/** Lanes from `from` down to `height`; those with more traces get a little more. */
export function placeLanes(plans: readonly LanePlan[], from: number, height: number, rem: number): readonly LaneBox[] {
  const shares = plans.map(({ traces }) => 1 + 0.25 * Math.min(3, traces.length - 1));
  const least = LEAST_REM * rem;
  const spare = Math.max(0, height - from - plans.length * least);
  const all = shares.reduce((sum, share) => sum + share, 0);
  let top = from;
  return shares.map((share) => {
    const box = Math.max(least, least + (spare * share) / all);
    const lane = { top, height: box, plotTop: top + NAME_REM * rem, plotBottom: top + box - 0.45 * rem };
    top += box;
    return lane;
  });
}
