/** The drill that a scenario plays with: a preset, with the numbers that the scenario sets. */
import { type DrillParams, drillParams, GROUPS, type GroupName } from '../plant/params.ts';
import { PRESETS } from '../plant/presets/index.ts';
import type { Scenario, SetValue, Start } from './scenario.ts';

/** What a start says about numbers that a drill has anyway. */
const STARTS = { charge: 'pack.charge', temperature_K: 'heat.ambient_K' } as const satisfies Partial<
  Record<keyof Start, string>
>;

/** Keys of a drill that belong to `start`, and how they are called there. */
export const START_KEYS: Readonly<Record<string, string>> = {
  'pack.charge': 'charge',
  'heat.ambient_K': 'temperature',
};

/**
 * The parameters. The name stays that of the preset: a controller is built and commissioned for the preset, and meets the
 * drill as it is set. Throws RangeError naming the item, the value and what is allowed.
 */
export function drillOf(scenario: Pick<Scenario, 'drill' | 'set' | 'start'>): DrillParams {
  const preset = Object.hasOwn(PRESETS, scenario.drill) ? PRESETS[scenario.drill] : undefined;
  if (!preset) {
    throw new RangeError(`drill '${scenario.drill}' is not known; known are ${Object.keys(PRESETS).join(', ')}`);
  }
  const values = [...(scenario.set ?? []), ...startValues(scenario.start)];
  if (values.length === 0) return preset;
  const groups: Record<string, Record<string, unknown>> = {};
  for (const group of Object.keys(GROUPS) as GroupName[]) groups[group] = { ...preset[group] };
  const sources: Record<string, string> = { ...preset.sources };
  for (const { key, value } of values) {
    const [group, item] = key.split('.');
    groups[group][item] = value;
    sources[key] = 'set by the scenario';
  }
  return drillParams({ ...preset, ...groups, sources: Object.freeze(sources) });
}

function startValues(start: Start = {}): Pick<SetValue, 'key' | 'value'>[] {
  return (Object.keys(STARTS) as (keyof typeof STARTS)[]).flatMap((name) => {
    const value = start[name];
    return value === undefined ? [] : [{ key: STARTS[name], value }];
  });
}
