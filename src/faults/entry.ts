/**
 * What a fault is, as data: where it acts, how large it may be, what it does to the drill and what one then sees. The
 * catalogue lists entries; adding a fault is one entry and one test.
 */
import type { DamageName } from '../plant/damage.ts';

/** Where a fault acts, in the order of the energy: from the pack to the work, then what measures and what talks. */
export const PLACES = Object.freeze({
  pack: 'battery pack and its contact',
  link: 'DC link',
  bridge: 'switches and gate drive',
  motor: 'motor and its wires',
  mechanics: 'gearbox, chuck and work',
  sensing: 'sensors and converter',
  controls: 'trigger and direction switch',
  board: 'the controller board',
  frames: 'the link between drill and board',
});
export type Place = keyof typeof PLACES;

export interface Size {
  /** SI unit, '' when it is a share or a number. */ readonly unit: string;
  /** Unit that people read and write; a key of src/units/convert.ts. */ readonly show: string;
  readonly low: number;
  readonly high: number;
  /** What a file that names no size means. */ readonly usual: number;
  /** What the size measures. */ readonly doc: string;
}

/** One number of the drill that a fault moves. `a` to `c` follow the leg that is asked for. */
export interface Effect {
  readonly damage: DamageName | { readonly a: DamageName; readonly b: DamageName; readonly c: DamageName };
  /** The damage for a size; a share of the size that is in force counts as a smaller one. */
  value(size: number): number;
}

export interface FaultEntry {
  /** How a file names it: small letters, digits and dashes. */ readonly id: string;
  /** What the trade calls it. */ readonly name: string;
  readonly place: Place;
  /** One sentence: what it does. */ readonly does: string;
  /** undefined for a fault that is there or not. */ readonly size?: Size;
  /** Asks which of the three legs, phases or sensors. */ readonly legs?: boolean;
  readonly effects: readonly Effect[];
  /** What one sees on the waveforms, and where to look. */ readonly sight: string;
  /** Where that sight is published; "common practice, no source" otherwise. */ readonly source: string;
  /** Needs of the users (U1 to U52, scenarios/COVERAGE.md) that it serves. */ readonly needs: readonly string[];
}

export type Leg = 'a' | 'b' | 'c';

/** What `source` says where nothing is published. */
export const OURS = 'common practice, no source';

/** Checks and freezes an entry. Throws RangeError naming the fault, the item and what is allowed. */
export function faultEntry(entry: FaultEntry): FaultEntry {
  const say = (what: string): never => {
    throw new RangeError(`fault ${entry.id}: ${what}`);
  };
  if (!/^[a-z][a-z0-9-]{1,39}$/.test(entry.id)) say('its id must be small letters, digits and dashes, 2 to 40 of them');
  if (entry.effects.length === 0) say('it has no effect');
  for (const key of ['name', 'does', 'sight', 'source'] as const) if (entry[key] === '') say(`${key} is empty`);
  const asks = entry.effects.some(({ damage }) => typeof damage !== 'string');
  if (asks !== (entry.legs ?? false)) say('legs must be true exactly when an effect follows the leg');
  const { size } = entry;
  if (size && !(size.low <= size.usual && size.usual <= size.high)) say('its usual size must lie in its range');
  return Object.freeze({
    ...entry,
    effects: Object.freeze([...entry.effects]),
    needs: Object.freeze([...entry.needs]),
  });
}
