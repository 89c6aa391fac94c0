/**
 * Breaking points of both built-in controllers, as the campaigns of the library seek them, in short: the same with any number
 * of workers, each end of a bracket played once more for itself, and all in one report.
 */
import { readFileSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { BreakOutcome, CampaignSummary } from '../../src/campaign/results.ts';
import { pointText } from '../../src/campaign/trial.ts';
import { readWritten, writeValue } from '../../src/campaign/written.ts';
import { campaign, readPlan } from '../../src/cli/campaign.ts';
import { playText } from '../../src/cli/campaign-play.ts';
import { reportFrom } from '../../src/cli/report.ts';
import { campaignFolder } from '../cli/campaign-rig.ts';
import { json } from '../cli/sim.ts';

const dir = campaignFolder();
dir.file(
  'hold.yaml',
  `title: A hand on the chuck, in short
drill: bench-18
seed: 3
duration: 0.17 s
chuck: { gear: 1, grip: 4 N·m }
set: { winding.r_ohm: 8 mohm }
timeline:
  - { at: 5 ms, trigger: 60 %, over: 0.02 s }
faults:
  - { fault: answer-late, size: 0 us, at: 0.1 s }
  - { fault: shunt-offset, leg: a, size: 0 A, at: 0.1 s }
checks:
  - { name: it turns on, signal: chuckSpeed, take: smallest, from: 0.13 s, at least: 40 rpm }
  - { name: the current stays in its limit, signal: currentQ, take: peak, at most: 110 A }
`,
);
const searchText = (title: string, search: string) => `title: Breaking point of ${title}
scenario: hold.yaml
vary: [{ place: controller, values: [hall-six-step, sensorless] }]
break: { ${search}, probes: 0 }
`;
const SEARCHES = [
  ['late', 'late answers', 'place: faults.1.size, from: 0 us, to: 400 us, tolerance: 200 us'],
  ['offset', 'an offset', 'place: faults.2.size, from: 0 A, to: 40 A, tolerance: 20 A'],
] as const;
for (const [name, title, search] of SEARCHES) dir.file(`${name}.yaml`, searchText(title, search));

const silence = () => {
  vi.spyOn(process.stdout, 'write').mockReturnValue(true);
  vi.spyOn(process.stderr, 'write').mockReturnValue(true);
};
beforeEach(silence);
afterEach(() => vi.restoreAllMocks());

async function sought(name: string, jobs: string): Promise<CampaignSummary> {
  const out = `${name}-${jobs}`;
  await campaign(dir.at(`${name}.yaml`), { jobs, out: dir.at(`${out}.jsonl`), json: dir.at(`${out}.json`) });
  return json(dir.at(`${out}.json`));
}

describe('breaking points of both built-in controllers', () => {
  it.each(SEARCHES)(
    '%s: any number of workers finds the same brackets, whose ends differ when they are played again',
    async (name) => {
      const [alone, shared] = await Promise.all([sought(name, '1'), sought(name, '2')]);
      expect(shared.cases).toEqual(alone.cases);
      expect(readFileSync(dir.at(`${name}-2.jsonl`), 'utf8')).toBe(readFileSync(dir.at(`${name}-1.jsonl`), 'utf8'));
      const plan = readPlan(dir.at(`${name}.yaml`))!;
      const cases = alone.cases as BreakOutcome[];
      expect(cases.map(({ values }) => values.controller)).toEqual(['hall-six-step', 'sensorless']);
      for (const { found, place, unit, holds, fails, tolerance, values } of cases) {
        expect(found).toBe('bracket');
        expect(Math.abs(fails! - holds!)).toBeLessThanOrEqual(tolerance);
        const ends = [holds!, fails!].map((size) => ({ ...values, [place]: writeValue(size, unit) }));
        const played = await Promise.all(
          ends.map((end) => playText(pointText(plan.content, end), { file: plan.scenarioFile, controller: undefined })),
        );
        expect(played.map((each) => each.played.verdict)).toEqual(['passed', 'failed']);
      }
    },
  );

  it('stand in one report: sizes for each controller, the tolerance, what gives way and when', async () => {
    const files = SEARCHES.map(([name]) => dir.at(`${name}-2.json`));
    reportFrom(files, { html: dir.at('breaking.html') });
    const html = readFileSync(dir.at('breaking.html'), 'utf8').replaceAll('\u00a0', ' ');
    const table = /<caption class="unseen">All breaking points[\s\S]*?<\/table>/.exec(html)?.[0] ?? '';
    const rows = table.split('<tr role="row">').slice(2);
    expect(rows).toHaveLength(4);
    const cases = files.flatMap((file) => (json(file) as CampaignSummary).cases as BreakOutcome[]);
    cases.forEach(({ values, holds, fails, tolerance, unit }, k) => {
      expect(rows[k]).toContain(`controller ${values.controller}`);
      const numbers = [...rows[k].matchAll(/data-what="(?:holds at|does not at|tolerance)">([^<]*)</g)].map(
        ([, text]) => readWritten(text),
      );
      // The page rounds to four digits.
      expect(numbers.map((each) => each?.number)).toEqual(
        [holds, fails, tolerance].map((size) => Number(size!.toPrecision(4))),
      );
      expect(numbers.every((each) => each?.unit === unit)).toBe(true);
      expect(rows[k]).toMatch(/(it turns on|the current stays in its limit), 0\.[12]\d* s/);
    });
  });
});
