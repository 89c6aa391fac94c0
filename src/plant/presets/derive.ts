/** A preset that says what differs from another one, each value together with where it comes from. */
import { type DrillParams, drillParams, GROUPS, type GroupName } from '../params.ts';

/** 'winding.r_ohm': value and source. */
export type Sourced = Readonly<Record<string, readonly [value: number | readonly number[], source: string]>>;

/**
 * Replaces values of a drill and their sources. Throws RangeError on a key that no group has, and as drillParams does.
 */
export function derive(base: DrillParams, name: string, title: string, ...changes: readonly Sourced[]): DrillParams {
  const groups: Record<string, Record<string, unknown>> = {};
  for (const group of Object.keys(GROUPS) as GroupName[]) groups[group] = { ...base[group] };
  const sources: Record<string, string> = { ...base.sources };
  for (const [path, [value, source]] of changes.flatMap((change) => Object.entries(change))) {
    const [group, key] = path.split('.');
    if (!(group in groups)) {
      throw new RangeError(`${name}: '${path}' is no parameter; groups are ${Object.keys(groups).join(', ')}`);
    }
    groups[group][key] = value;
    sources[path] = source;
  }
  return drillParams({ ...base, ...groups, name, title, sources: Object.freeze(sources) });
}
