/** The ids of requirements that scenarios carry are those of scenarios/REQUIREMENTS.md, each used and each listed once. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { libraryFiles, ROOT, scenarioOf } from './library.ts';

const rows = readFileSync(join(ROOT, 'REQUIREMENTS.md'), 'utf8').matchAll(/^\| (R-[A-Z]+-\d+) \| (.+) \|$/gm);
const listed = [...rows].map(([, id, what]) => ({ id, what }));

/** Ids of a scenario and of its checks. */
function idsOf(name: string): string[] {
  const { requirements = [], checks } = scenarioOf(name);
  return [...requirements, ...checks.flatMap((check) => check.requirements ?? [])];
}

describe('requirements', () => {
  it('are listed once, each with what it asks for', () => {
    expect(listed.length).toBeGreaterThan(0);
    expect(new Set(listed.map(({ id }) => id)).size).toBe(listed.length);
    expect(new Set(listed.map(({ what }) => what)).size).toBe(listed.length);
  });

  it('are all carried by a scenario, and none is carried that is not listed', () => {
    const carried = new Set(libraryFiles().flatMap(idsOf));
    expect([...carried].sort()).toEqual(listed.map(({ id }) => id).sort());
  });

  it.each(libraryFiles().filter((name) => name.includes('/')))('%s stands for one at least', (name) => {
    expect(idsOf(name).length).toBeGreaterThan(0);
  });
});
