/** Ids of requirements that a run or a check stands for, carried into every result. */
import { describe } from './quantity.ts';
import { type Group, list } from './reader.ts';

export const REQUIREMENT = '^[A-Za-z0-9][A-Za-z0-9.-]*$';
export const REQUIREMENT_LONGEST = 60;
export const REQUIREMENTS_MOST = 50;

/** The ids of a group; the schema has looked at their letters. */
export function readRequirements(group: Group): readonly string[] | undefined {
  if (!group.has('requirements')) return undefined;
  const ids = list(group.from.requirements);
  ids.forEach((id, k) => {
    if (ids.indexOf(id) < k) group.fail([...group.at('requirements'), k], `${describe(id)} stands here twice`);
  });
  return Object.freeze(ids.map(String));
}
