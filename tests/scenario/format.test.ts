/** Versions of the format, requirement ids, numbers of the drill and its start. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { GROUPS } from '../../src/plant/params.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { drillOf } from '../../src/scenario/drill.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import { FORMAT, migrate } from '../../src/scenario/migrate.ts';
import { readParameter, unitsOf } from '../../src/scenario/parameter-units.ts';
import { PARAMETERS } from '../../src/scenario/read-set.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { problemText } from '../../src/scenario/source.ts';
import { expectNear } from '../support/near.ts';

const BASE = `title: t
drill: bench-18
duration: 1 s
timeline:
  - { at: 0 s, trigger: 50 % }
`;

function load(text: string): Scenario {
  const result = loadScenario(text, 'f.yaml');
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.scenario;
}

function problems(text: string): string[] {
  const result = loadScenario(text, 'f.yaml');
  return result.ok ? [] : result.problems.map(problemText);
}

const CHECK = 'checks:\n  - { name: c, signal: link, at most: 26 V }\n';

describe('versions of the format', () => {
  it('take a file that names none as the first: a check without take looks at the last value', () => {
    expect(load(BASE + CHECK).checks[0]).toMatchObject({ take: 'last', from_s: 0, to_s: 1, atMost: 26 });
    expect(load(`format: 1\n${BASE}${CHECK}`).checks).toEqual(load(BASE + CHECK).checks);
  });

  it('ask in the second what a check takes', () => {
    const [line, ...more] = problems(`format: 2\n${BASE}${CHECK}`);
    expect(line).toMatch(/^f\.yaml:8: check 1: key 'take' is missing .*allowed are largest, smallest/);
    expect(more).toEqual([]);
  });

  it.each([
    [
      `format: ${FORMAT + 1}`,
      `the file has version ${FORMAT + 1} of the format, this program reads 1 to ${FORMAT}; a newer program is needed`,
    ],
    ['format: 0', `0 is no version of the format; allowed is 1 to ${FORMAT}`],
    ['format: new', `new is no version of the format; allowed is 1 to ${FORMAT}`],
  ])('refuse %s, and say nothing else of a file that they cannot read', (format, words) => {
    expect(problems(`${BASE}${format}\nnews: 1\n`)).toEqual([`f.yaml:6: format: ${words}`]);
  });

  it('bring content up one step after the other', () => {
    const table = {
      1: (content: object) => ({ ...content, path: 'a' }),
      2: (content: object) => ({ ...content, path: `${(content as { path?: string }).path ?? ''}b` }),
    };
    expect(migrate({}, table, 3)).toEqual({ ok: true, content: { path: 'ab' } });
    expect(migrate({ format: 2 }, table, 3)).toEqual({ ok: true, content: { format: 2, path: 'b' } });
    expect(migrate({ format: 3 }, table, 3)).toEqual({ ok: true, content: { format: 3 } });
  });
});

describe('requirement ids', () => {
  it('are carried by scenario and checks', () => {
    const text = `${BASE}requirements: [SR-1.2, x]\nchecks:\n  - { name: c, signal: link, take: last, at most: 1 V, requirements: [R.7] }\n`;
    expect(load(text)).toMatchObject({ requirements: ['SR-1.2', 'x'], checks: [{ requirements: ['R.7'] }] });
  });

  it.each([
    ['[a b]', "requirements entry 1: 'a b' does not fit; allowed is an id: letters, digits, dots and dashes, up to 60"],
    ['[a, a]', "requirements entry 2: 'a' stands here twice"],
    ['a', "requirements: 'a' does not fit; allowed is a list"],
  ])('are refused: %s', (ids, words) => {
    expect(problems(`${BASE}requirements: ${ids}\n`)).toEqual([`f.yaml:6: ${words}`]);
  });
});

describe('numbers of the drill', () => {
  it('are set by key, in SI, with a prefix, as a list, and in groups', () => {
    const { set } = load(
      `${BASE}set:\n  winding.r_ohm: 15 mohm\n  pack: { capacity_As: 2.5 Ah }\n  clutch.settings_Nm: [1 N·m, 2 N·m]\n`,
    );
    expect(set).toEqual([
      { key: 'winding.r_ohm', value: 0.015, text: '15 mohm' },
      { key: 'pack.capacity_As', value: 9000, text: '2.5 Ah' },
      { key: 'clutch.settings_Nm', value: [1, 2], text: '1 N·m, 2 N·m' },
    ]);
  });

  it('come into the drill, and nothing else changes', () => {
    const drill = drillOf(
      load(`${BASE}set: { winding.r_ohm: 15 mohm }\nstart: { charge: 30 %, temperature: -10 °C }\n`),
    );
    const preset = PRESETS['bench-18'];
    expect(drill.winding).toEqual({ ...preset.winding, r_ohm: 0.015 });
    expect(drill.pack).toEqual({ ...preset.pack, charge: 0.3 });
    expect(drill.heat.ambient_K).toBe(263.15);
    expect(drill.gear).toEqual(preset.gear);
    expect(drillOf(load(BASE))).toBe(preset);
  });

  it.each([
    ['winding.r_ohm: 15', "15 has no unit; write it as '15 ohm'; allowed is ohm, with a prefix"],
    ['winding.r_ohm: 15 mH', "'15 mH' has the unit mH; allowed is ohm"],
    ['winding.r_ohm: 90 ohm', "'90 ohm' is out of range; allowed is 0.0001 to 50 ohm (phase resistance at 20 °C)"],
    ['winding.r_oh: 1 ohm', "'winding.r_oh' is no number of a drill; nearest is 'winding.r_ohm'"],
    ['windings.r_ohm: 1 ohm', "is no number of a drill; of the groups, nearest is 'winding'"],
    ['winding.polePairs: 3.5', '3.5 does not fit; allowed is a whole number (pole pairs)'],
    ['winding.halls_rad: 1 rad', "'1 rad' does not fit; allowed is a list"],
    ['pack.charge: 50 %', "'pack.charge' is said by 'start: { charge: ... }'"],
    ['{ winding.r_ohm: 1 mohm, winding: { r_ohm: 2 mohm } }', "'winding.r_ohm' stands here twice"],
    ['pack.contactOpens: 0.4', 'pack.contactOpens is 0.4; allowed is less than contactCloses'],
    ['shaft.chuck_kgm2: 1e-7 kg·m²', 'take a shorter step'],
    ['constructor: 1', "'constructor' is no number of a drill"],
  ])('are refused: %s', (line, words) => {
    const found = problems(`${BASE}set:${line.startsWith('{') ? ` ${line}` : `\n  ${line}`}\n`);
    expect(found.join('\n')).toContain(words);
    expect(found[0]).toMatch(/^f\.yaml:[67]: set/);
  });

  it('are read back from every unit that is offered', () => {
    const bands = [...PARAMETERS.values()];
    expect(bands.length).toBe(Object.values(GROUPS).reduce((sum, group) => sum + Object.keys(group).length, 0));
    fc.assert(
      fc.property(
        fc.constantFrom(...bands),
        fc.double({ min: 0.01, max: 1, noNaN: true }),
        fc.nat(),
        (band, share, pick) => {
          const units = [...unitsOf(band.unit)];
          const [unit, factor] = units[pick % units.length];
          const read = readParameter(unit === '' ? share : `${share} ${unit}`, band.unit);
          expect(read.ok).toBe(true);
          const because = 'one product of two rounded numbers';
          expectNear(read.ok ? read.si : Number.NaN, share * factor, { abs: 1e-15 * factor, because });
        },
      ),
      { seed: 4, numRuns: 500 },
    );
  });
});
