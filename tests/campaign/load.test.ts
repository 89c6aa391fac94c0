/** What a campaign file may say, and what is said when it does not: file, line, place, what is allowed. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { jobsOf } from '../../src/campaign/jobs.ts';
import { loadCampaign, type Plan } from '../../src/campaign/load.ts';
import { campaignSchemaText } from '../../src/campaign/schema.ts';
import { loadPoint } from '../../src/campaign/trial.ts';
import { firstComment, problemText } from '../../src/scenario/source.ts';

const SCENARIO = `title: A press
drill: bench-18
duration: 50 ms
timeline:
  - { at: 5 ms, trigger: 40 % }
faults:
  - { fault: magnet-weak, size: 3 %, at: 10 ms }
checks:
  - { name: it turns, signal: chuckSpeed, at least: 100 rpm }
`;
const load = (text: string, scenario = SCENARIO) =>
  loadCampaign(`title: T\nscenario: s.yaml\n${text}`, 'c.yaml', (named) => {
    if (named !== 's.yaml') throw new Error('no such file');
    return { text: scenario, file: named };
  });
function problems(text: string, scenario?: string): string[] {
  const result = load(text, scenario);
  return result.ok ? [] : result.problems.map(problemText);
}
function planOf(text: string): Plan {
  const result = load(text);
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.plan;
}

const SIZE = 'vary: [{ place: faults.1.size, from: 0 %, to: 20 %';

describe('a campaign file', () => {
  it.each([
    [`draw: random\npoints: 5\n${SIZE} }]`, 'random', 5],
    [`draw: hypercube\npoints: 7\n${SIZE} }]`, 'hypercube', 7],
    [`${SIZE}, steps: 3 }, { place: seed, values: [1, 2] }]`, 'grid', 6],
    ['', 'grid', 1],
    [`${SIZE} }]\nworst: { starts: 4 }`, 'worst', 4],
    [
      'vary: [{ place: seed, values: [1, 2] }]\nbreak: { place: faults.1.size, from: 0 %, to: 9 %, tolerance: 1 % }',
      'break',
      2,
    ],
  ])('%j is a %s of %d', (text, method, count) => {
    const plan = planOf(text);
    expect(plan.campaign.method).toBe(method);
    expect(jobsOf(plan).count).toBe(count);
  });

  it('takes its controller from the campaign, and puts values where they belong', () => {
    const plan = planOf(
      'controller: sensorless\nvary: [{ place: faults.1.size, values: [7 %] }, { place: chuck.gear, values: [1] }]',
    );
    const step = jobsOf(plan).start(1).next([]);
    const point = loadPoint(plan.content, (step.value as never[])[0], 's.yaml');
    expect(point.ok && point.scenario).toMatchObject({ controller: 'sensorless', chuck: { gear: 1 } });
    expect(point.ok && point.scenario.faults?.[0].size).toBe(0.07);
  });

  it.each([
    ['points: 5', 'c.yaml:3: points: a grid has as many as its values make; allowed with draw: random, hypercube'],
    [`draw: random\n${SIZE} }]`, "c.yaml:3: draw: key 'points' is missing; random has to know how many"],
    ['draw: random\npoints: 3', "c.yaml:3: draw: nothing varies; random draws the values of 'vary'"],
    [`${SIZE} }]`, "c.yaml:3: vary entry 1: a grid has to know how many; name 'steps' or 'values'"],
    [`draw: random\npoints: 0\n${SIZE} }]`, 'c.yaml:4: points: 0 is out of range; allowed is 1 to 100000'],
    [
      'draw: random\npoints: 3\nvary: [{ place: faults.1.size, from: 5 %, to: 2 % }]',
      "c.yaml:5: vary entry 1, to: '2 %' is not above 'from' 5 %",
    ],
    [
      'draw: random\npoints: 3\nvary: [{ place: faults.1.at, from: 5 ms, to: 2 s }]',
      "c.yaml:5: vary entry 1, to: '2 s' differs in its unit from 'from', which has the unit ms",
    ],
    [
      `draw: random\npoints: 3\nvary:\n  - { place: faults.1.sise, from: 0 %, to: 2 % }`,
      "c.yaml:6: vary entry 1, from: fault 1: key 'sise' is not known here; nearest is 'size'; allowed are fault, leg, size, at, when, ramp, intermittent, for",
    ],
    [
      `draw: random\npoints: 3\nvary:\n  - { place: faults.1.size, from: 0 %, to: 200 % }`,
      "c.yaml:6: vary entry 1, to: fault 1, size: '200 %' is out of range; allowed is 0 % to 90 % (share of the flux that is lost)",
    ],
    [
      `draw: random\npoints: 3\nvary:\n  - { place: faults.2.size, from: 0 %, to: 20 % }`,
      "c.yaml:6: vary entry 1, from: '2' is no entry of faults; allowed is 1 to 1",
    ],
    [
      'vary:\n  - { place: seed, values: [1, 2] }\n  - { place: seed, values: [3] }',
      "c.yaml:5: vary entry 2, place: 'seed' varies in entry 1 already",
    ],
    ['vary: [{ place: __proto__.x, values: [1] }]', "c.yaml:3: vary entry 1, place: '__proto__.x'"],
    [
      'draw: random\npoints: 2\nvary: [{ place: faults.1.size, spread: bell, mean: 3 % }]',
      "c.yaml:5: vary entry 1: key 'deviation' is missing; a bell has 'mean' and 'deviation'",
    ],
    [
      'draw: random\npoints: 2\nvary: [{ place: faults.1.size, spread: bell, mean: 3 %, deviation: 0 % }]',
      "c.yaml:5: vary entry 1, deviation: '0 %' is not above zero",
    ],
    [
      `draw: hypercube\npoints: 2\n${SIZE} }]\ncorrelation: [[1]]`,
      'c.yaml:6: correlation: allowed together with draw: random only',
    ],
    [
      `draw: random\npoints: 2\n${SIZE} }]\ncorrelation: [[1], [1]]`,
      'c.yaml:6: correlation: 2 rows; allowed are 1, one for each value of vary',
    ],
    [
      'break: { place: faults.1.size, from: 0 %, to: 9 %, tolerance: 1 %, check: it tuns }',
      "c.yaml:3: break, check: 'it tuns' is no check of the scenario; nearest is 'it turns'; allowed is it turns",
    ],
    [
      'break: { place: faults.1.size, from: 0 %, to: 9 %, tolerance: 0 % }',
      "c.yaml:3: break, tolerance: '0 %' is not above zero",
    ],
    [
      'break: { place: faults.1.size, from: 0 %, to: 9 %, tolerance: 1 %, at least: 10 % }',
      "c.yaml:3: break, at least: '10 %' is not between 'from' and 'to'",
    ],
    [
      `${SIZE} }]\nworst: {}\nbreak: { place: faults.1.at, from: 0 ms, to: 9 ms, tolerance: 1 ms }`,
      "c.yaml:4: worst: a campaign has one search; name one of 'break' and 'worst'",
    ],
    ['controller: tcp', "c.yaml:3: controller: controller: 'tcp' is not known"],
    ['drow: grid', "c.yaml:3: key 'drow' is not known here; nearest is 'draw'"],
    [
      'vary:\n  - { place: seed, values: [1, [2]] }',
      'c.yaml:4: vary entry 1, values entry 2: a list does not fit; allowed is a number, text, true or false',
    ],
    [`${SIZE}, steps: two }]`, "c.yaml:3: vary entry 1, steps: 'two' does not fit; allowed is a whole number"],
    [
      `${SIZE}, steps: 2, spread: bel }]`,
      "c.yaml:3: vary entry 1, spread: 'bel' is not known here; nearest is 'bell'; allowed are even, bell",
    ],
    ['vary: [{ values: [1] }]', "c.yaml:3: vary entry 1: key 'place' is missing (where it goes in the scenario"],
    [
      'vary: [{ place: seed, from: [1], to: 2, steps: 2 }]',
      'c.yaml:3: vary entry 1, from: a list is not a number with',
    ],
    ['break: { place: faults.1.size, from: 0 %, to: 9 % }', "c.yaml:3: break: key 'tolerance' is missing"],
    ['vary: [{ place: seed, values: [1], from: 2 }]', "c.yaml:3: vary entry 1, from: allowed without 'values' only"],
  ])('%j is refused', (text, why) => {
    expect(problems(text).join('\n')).toContain(why);
  });

  it('says what is wrong with its scenario, where it is', () => {
    expect(problems('', SCENARIO.replace('40 %', '140 %'))).toEqual([
      's.yaml:5: timeline entry 1, trigger: 140 % is out of range; allowed is 0 % to 100 %',
    ]);
    const missing = loadCampaign('title: T\nscenario: none.yaml\n', 'c.yaml', () => {
      throw new Error('ENOENT');
    });
    expect(missing.ok ? [] : missing.problems.map(problemText)).toEqual(['c.yaml:2: scenario: cannot be read: ENOENT']);
  });

  it.each([
    '',
    'x',
    '[1, 2]',
    'title: 1',
    '{',
    'vary: 3',
    'title: T\nscenario: s.yaml\nvary: [{}]\nbreak: {}\nworst: []',
  ])('never throws, and never passes: %j', (text) => {
    const result = loadCampaign(text, 'c.yaml', () => ({ text: SCENARIO, file: 's.yaml' }));
    expect(result.ok).toBe(false);
    expect(result.ok ? [] : result.problems).not.toHaveLength(0);
  });
});

describe('campaigns of this repository', () => {
  const folder = 'scenarios/campaigns';
  const files = readdirSync(folder).filter((name) => /^scenario:/m.test(readFileSync(join(folder, name), 'utf8')));

  it.each(files)('%s loads and says what it shows', (name) => {
    const path = join(folder, name);
    const text = readFileSync(path, 'utf8');
    const result = loadCampaign(text, path, (named) => {
      const file = join(dirname(path), named);
      return { text: readFileSync(file, 'utf8'), file };
    });
    expect(result.ok ? [] : result.problems.map(problemText)).toEqual([]);
    expect(firstComment(text)).toMatch(/^Shows /);
    expect(text).toContain('# yaml-language-server: $schema=../../src/campaign/campaign.schema.json');
  });

  it('are checked by the schema that is published (renew it: npm run -s sim -- schema campaign > src/campaign/campaign.schema.json)', () => {
    const published = JSON.parse(readFileSync('src/campaign/campaign.schema.json', 'utf8'));
    expect(published).toEqual(JSON.parse(campaignSchemaText()));
    expect(files.length).toBeGreaterThan(0);
  });
});
