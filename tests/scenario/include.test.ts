/** Parts of a scenario from other files: what comes of them, and what is refused, with file and line of each error. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { INCLUDE_DEPTH_MOST, INCLUDED_MOST, placeBelow } from '../../src/scenario/include.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { problemText } from '../../src/scenario/source.ts';

type Files = Readonly<Record<string, string>>;

const OWN = `format: 2
title: Slats
include: [parts/hands.yaml, parts/watch.yaml]
duration: 1 s
chuck: { gear: 1 }
faults:
  - { fault: magnet-weak, at: 0.5 s }
checks:
  - { name: own, signal: link, take: largest, at most: 26 V }
`;
const HANDS = `drill: bench-18
chuck: { gear: 2, direction: in, meets: nothing }
timeline:
  - { at: 0 s, trigger: 50 % }
`;
const WATCH = `format: 2
checks:
  - { name: shared, signal: currentQ, take: peak, at most: 100 A }
  - { name: quick, take: reaction time, after fault: 1, gates: open, at most: 5 ms }
`;
const GOOD: Files = { 'a/own.yaml': OWN, 'a/parts/hands.yaml': HANDS, 'a/parts/watch.yaml': WATCH };

function loaded(files: Files, at = 'a/own.yaml') {
  return loadScenario(files[at], `tree/${at}`, {
    at,
    read(place) {
      if (!Object.hasOwn(files, place)) throw new Error('there is no such file');
      return { text: files[place], file: `tree/${place}` };
    },
  });
}

function scenario(files: Files): Scenario {
  const result = loaded(files);
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.scenario;
}

function problems(files: Files, at?: string): string[] {
  const result = loaded(files, at);
  return result.ok ? [] : result.problems.map(problemText);
}

describe('include', () => {
  it('joins lists and groups; what the file itself says wins', () => {
    const { drill, chuck, timeline, checks } = scenario(GOOD);
    expect(drill).toBe('bench-18');
    expect(chuck).toMatchObject({ gear: 1, direction: 1, meets: 'nothing' });
    expect(timeline).toHaveLength(1);
    expect(checks.map(({ name }) => name)).toEqual(['shared', 'quick', 'own']);
  });

  it('gives content that loads to the same scenario without any other file', () => {
    const first = loaded(GOOD);
    if (!first.ok) throw new Error('it does not load');
    const again = loadScenario(JSON.stringify(first.content), 'tree/a/own.yaml');
    expect(again.ok && again.scenario).toEqual(first.scenario);
  });

  it('names file, line and place of what is wrong in a part', () => {
    const wrong = { ...GOOD, 'a/parts/watch.yaml': WATCH.replace('100 A', '100 V').replace('currentQ', 'currentQ') };
    expect(problems(wrong)).toEqual([
      "tree/a/parts/watch.yaml:3: check 1, at most: '100 V' has the unit V; allowed are A, mA (units of currentQ)",
    ]);
    const unknown = { ...GOOD, 'a/parts/hands.yaml': HANDS.replace('trigger: 50 %', 'triger: 50 %') };
    expect(problems(unknown)[0]).toMatch(/^tree\/a\/parts\/hands\.yaml:4: timeline entry 1: .*triger/);
  });

  it('refuses in a part what only a scenario has', () => {
    const wrong = { ...GOOD, 'a/parts/hands.yaml': `${HANDS}duration: 2 s\n` };
    expect(problems(wrong)[0]).toMatch(/^tree\/a\/parts\/hands\.yaml:5: key 'duration' is not known here/);
  });

  it('asks for what neither the file nor its parts say', () => {
    expect(problems({ ...GOOD, 'a/parts/hands.yaml': HANDS.replace('drill: bench-18\n', '') })).toEqual([
      "tree/a/own.yaml:1: key 'drill' is missing (preset of the drill)",
    ]);
  });

  it('names the files of a circle', () => {
    const circle = {
      'a/own.yaml': OWN.replace('[parts/hands.yaml, parts/watch.yaml]', '[x.yaml]'),
      'a/x.yaml': 'include: [y.yaml]\n',
      'a/y.yaml': '# two\ninclude:\n  - ../a/x.yaml\n',
    };
    expect(problems(circle)).toContain(
      'tree/a/y.yaml:3: include entry 1: the files include each other in a circle: a/own.yaml > a/x.yaml > a/y.yaml > a/x.yaml',
    );
  });

  it('bounds the row and the number of files', () => {
    const row: Record<string, string> = { 'a/own.yaml': OWN.replace(/include:.*/, 'include: [l1.yaml]') };
    for (let k = 1; k <= 9; k++) row[`a/l${k}.yaml`] = `include: [l${k + 1}.yaml]\n`;
    expect(problems(row)).toContain(
      `tree/a/l${INCLUDE_DEPTH_MOST}.yaml:1: include entry 1: ${INCLUDE_DEPTH_MOST + 1} files include each other in a row; allowed are ${INCLUDE_DEPTH_MOST}`,
    );
    // Every file names the next one many times: without a bound there would be 15^4 of them.
    const many: Record<string, string> = { 'a/own.yaml': OWN.replace(/include:.*/, 'include: [l1.yaml]') };
    for (let k = 1; k <= 4; k++) many[`a/l${k}.yaml`] = `include: [${`l${k + 1}.yaml, `.repeat(15)}l${k + 1}.yaml]\n`;
    many['a/l5.yaml'] = 'chuck: { gear: 1 }\n';
    expect(problems(many).join('\n')).toContain(`more than ${INCLUDED_MOST} files; allowed are ${INCLUDED_MOST}`);
  });

  it.each([
    '/etc/passwd.yaml',
    '../../x.yaml',
    'parts/../../../x.yaml',
    'c:\\x.yaml',
    'http://a/x.yaml',
    'parts/hands',
    '..',
  ])('refuses the path %s', (path) => {
    const text = OWN.replace('parts/hands.yaml', JSON.stringify(path));
    expect(problems({ ...GOOD, 'a/own.yaml': text }).join('\n')).toContain('tree/a/own.yaml:3: include entry 1: ');
  });

  it('says that a file cannot be read, and that nothing can be included without a folder', () => {
    const { 'a/parts/watch.yaml': _gone, ...rest } = GOOD;
    expect(problems(rest)).toContain(
      "tree/a/own.yaml:3: include entry 2: 'parts/watch.yaml' cannot be read: there is no such file",
    );
    const alone = loadScenario(OWN, 'own.yaml');
    expect(alone.ok ? '' : problemText(alone.problems[0])).toMatch(
      /^own\.yaml:3: include entry 1: nothing can be included/,
    );
  });

  it('never leads out of the tree, whatever the path is made of', () => {
    const step = fc.constantFrom('..', '.', '', 'a', 'b b', 'ü', '\\', 'c:', '\u0000', '...', 'x.yaml');
    fc.assert(
      fc.property(
        fc.array(step, { maxLength: 8 }),
        fc.array(fc.constantFrom('p', 'q'), { maxLength: 3 }),
        (steps, from) => {
          const place = placeBelow([...from, 'own.yaml'].join('/'), steps.join('/'));
          if (place === undefined) return;
          expect(place.split('/').every((each) => !['', '.', '..'].includes(each) && !/[\\:\0]/.test(each))).toBe(true);
        },
      ),
      { seed: 3, numRuns: 2000 },
    );
  });
});
