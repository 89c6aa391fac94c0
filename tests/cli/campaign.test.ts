/** A campaign from outside: whole, killed and resumed, stopped, in parts and merged. The bytes must not differ. */
import { existsSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { type CampaignOptions, campaign } from '../../src/cli/campaign.ts';
import { merge } from '../../src/cli/merge.ts';
import { sampleSizeText } from '../../src/cli/sample-size.ts';
import { expectNear } from '../support/near.ts';
import { begin, campaignFolder, lines } from './campaign-rig.ts';
import { json, sim } from './sim.ts';

const dir = campaignFolder();
afterEach(() => {
  vi.restoreAllMocks();
  vi.unstubAllEnvs();
});
/** Commands that run in this process say nothing into the log of the tests. */
function quiet(): void {
  vi.spyOn(process.stdout, 'write').mockReturnValue(true);
  vi.spyOn(process.stderr, 'write').mockReturnValue(true);
}
const read = (path: string) => readFileSync(path, 'utf8');
/** In one go, once for all tests below. */
const whole = sim('campaign', dir.campaign, '--out', dir.at('whole.jsonl'), '--json', dir.at('whole.json'));

describe('sim campaign', () => {
  it('runs all points, sums up, and ends with 1 because some failed', async () => {
    const { code, out, err } = await whole;
    expect(code).toBe(1);
    expect(err).toMatch(/20 of 40, \d+ not passed, 20 runs, \d+ s left/);
    const summary = json(dir.at('whole.json'));
    expect(summary).toMatchObject({ runs: 40, points: 40, finished: true, method: 'random', sampled: true });
    const { passed, failed } = summary.verdicts;
    expect(passed + failed).toBe(40);
    expect(passed).toBeGreaterThan(5);
    expect(failed).toBeGreaterThan(5);
    expect(out).toContain(`40 runs of 40 points: ${passed} passed, ${failed} failed`);
    const fast = summary.checks.find(({ name }: { name: string }) => name === 'not too fast');
    expect(fast).toMatchObject({ passed, failed, notEvaluated: 0, unit: 'rpm' });
    expect(fast.margin.smallest).toBeLessThan(0);
    expect(summary.failed).toHaveLength(failed);
    expect(summary.slowest).toHaveLength(10);
  });

  it('writes a line for each point, in order and without a wall time', async () => {
    await whole;
    const all = read(dir.at('whole.jsonl')).trimEnd().split('\n');
    expect(all).toHaveLength(1 + 40 + 1);
    expect(all.slice(1, -1).map((line) => JSON.parse(line).point)).toEqual(Array.from({ length: 40 }, (_, k) => k + 1));
    expect(read(dir.at('whole.jsonl'))).not.toContain('wall');
    expect(read(dir.at('whole.times.jsonl')).trimEnd().split('\n')).toHaveLength(40);
  });

  it('plays a failed point again from the line that it printed, to the same state', async () => {
    await whole;
    const [{ again, name }] = json(dir.at('whole.json')).failed;
    const match = /^npm run -s sim -- (campaign \S+ --point \d+)$/.exec(again);
    expect(match, again).not.toBeNull();
    const run = await sim(...match![1].split(' '));
    expect(run.code).toBe(1);
    expect(run.out).toMatch(/FAIL {2}not too fast/);
    const line = read(dir.at('whole.jsonl')).split('\n')[Number(name)];
    expect(run.out).toContain(`state hash ${JSON.parse(line).stateHash}`);
  });

  it('saves a point as a scenario that runs alone, to the same state', async () => {
    await whole;
    const saved = await sim('campaign', dir.campaign, '--point', '7', '--save', dir.at('seven.yaml'));
    expect(saved.code).toBe(0);
    const run = await sim('run', dir.at('seven.yaml'));
    expect(run.out).toContain(`state hash ${JSON.parse(read(dir.at('whole.jsonl')).split('\n')[7]).stateHash}`);
  });
});

describe('a campaign that is killed', () => {
  it('goes on with the same line; the cut line is dropped and said, and the bytes are those of one go', async () => {
    const out = dir.at('killed.jsonl');
    const first = begin('campaign', dir.campaign, '--out', out);
    await lines(out, 12, first);
    first.child.kill('SIGKILL');
    expect((await first.ended).signal).toBe('SIGKILL');
    const kept = read(out);
    // A kill may hit the middle of a write: cut the last line that is there.
    truncateSync(out, kept.length - 40);
    const again = await sim('campaign', dir.campaign, '--out', out);
    expect(again.err).toMatch(/line \d+ was cut off: it was dropped/);
    expect(again.err).toMatch(/goes on: \d+ runs are on file/);
    await whole;
    expect(read(out)).toBe(read(dir.at('whole.jsonl')));
    const done = await sim('campaign', dir.campaign, '--out', out);
    expect(done.err).toContain('is complete; nothing is left to run: 40 runs are on file');
    expect(done.code).toBe(1);
  });

  it('runs again what does not fit its checksum', async () => {
    await whole;
    const out = dir.at('damaged.jsonl');
    const damaged = read(dir.at('whole.jsonl')).replace(
      '"point":9,"run":0,"values":{"seed":',
      '"point":9,"run":0,"values":{"seed":1',
    );
    writeFileSync(out, damaged);
    const again = await sim('campaign', dir.campaign, '--out', out);
    expect(again.err).toContain('line 10 does not fit its checksum: it was dropped');
    expect(read(out)).toBe(read(dir.at('whole.jsonl')));
  });

  it('stops on a signal, keeps what ran, says how to go on and ends with 2', async () => {
    const out = dir.at('stopped.jsonl');
    const first = begin('campaign', dir.campaign, '--out', out);
    await lines(out, 5, first);
    first.child.kill('SIGINT');
    const { code, err } = await first.ended;
    expect(code).toBe(2);
    expect(err).toMatch(
      /stopped by SIGINT; \d+ runs are kept in .*stopped\.jsonl; the same line goes on where it stopped/,
    );
    expect(read(out)).not.toContain('"end":true');
    expect(read(out).endsWith('\n')).toBe(true);
    await sim('campaign', dir.campaign, '--out', out);
    await whole;
    expect(read(out)).toBe(read(dir.at('whole.jsonl')));
  });

  it('refuses to go on in the file of another campaign', async () => {
    await whole;
    const other = dir.file('other.yaml', read(dir.campaign).replace('points: 40', 'points: 41'));
    const run = await sim('campaign', other, '--out', dir.at('whole.jsonl'));
    expect(run.code).toBe(2);
    expect(run.err).toMatch(
      /it belongs to something else \(campaign [0-9a-f]{64}, not .*; points 40, not 41\); name another --out, or --fresh/,
    );
  });
});

describe('a campaign in parts', () => {
  const parts = Array.from({ length: 8 }, (_, k) => dir.at(`part-${k + 1}.jsonl`));

  it('has, merged from eight, the bytes of one go', async () => {
    quiet();
    const runs = parts.map((out, k) => {
      // Half of them learn from the environment which part they are.
      vi.stubEnv('JOB_COMPLETION_INDEX', String(k));
      return campaign(dir.campaign, { out, shard: k % 2 === 0 ? `${k + 1}/8` : 'env/8', jobs: '1' });
    });
    for (const code of await Promise.all(runs)) expect(code).toBeLessThan(2);
    const out = dir.at('merged.jsonl');
    const into = { campaign: dir.campaign, out, json: dir.at('merged.json') };
    expect(() => merge(parts.slice(1), into)).toThrow('parts are missing: 1/8');
    const shuffled = [parts[5], ...parts.filter((_, k) => k !== 5)];
    expect(merge(shuffled, into)).toBe(1);
    await whole;
    expect(read(out)).toBe(read(dir.at('whole.jsonl')));
    const [mine, theirs] = [json(dir.at('merged.json')), json(dir.at('whole.json'))];
    expect(mine.checks).toEqual(theirs.checks);
    expect(mine.failed).toEqual(theirs.failed);
  });

  it('refuses a part that is there twice, and one that is not finished', () => {
    const into = { campaign: dir.campaign, out: dir.at('no.jsonl') };
    expect(() => merge([parts[0], parts[0]], into)).toThrow('are both part 1/8');
    writeFileSync(dir.at('open.jsonl'), read(parts[0]).replace(/\{"end".*\n/, ''));
    expect(() => merge([dir.at('open.jsonl')], into)).toThrow('is not finished; give its line again');
    expect(existsSync(dir.at('no.jsonl'))).toBe(false);
  });
});

describe('sim campaign refuses', () => {
  const refused: [CampaignOptions, string][] = [
    [{ shard: '9/8' }, "--shard '9/8' is part 9 of 8; allowed is 1/n to n/n"],
    [{ shard: 'env' }, 'none of SLURM_ARRAY_TASK_ID, JOB_COMPLETION_INDEX and PARALLEL_SEQ is set'],
    [{ jobs: '0' }, '--jobs 0: allowed is a whole number from 1 to 512'],
    [{ jobs: '2', controller: 'tcp:127.0.0.1:9' }, 'tcp:127.0.0.1:9 is one board; allowed is 1'],
    [{ point: '41' }, '--point 41: allowed is 1 to 40'],
    [{ with: ['faults.2.size=3 %'] }, "'2' is no entry of faults; allowed is 1 to 1"],
    [{ with: ['faults.1.size'] }, '--with faults.1.size: allowed is place=value'],
    [{ save: 'x.yaml' }, '--save goes with --point or --with'],
    [{ controller: 'usb:3' }, '--controller usb:3: allowed are'],
  ];
  it.each(refused)('%j, saying what is allowed', async (options, text) => {
    await expect(campaign(dir.campaign, options)).rejects.toThrow(text);
  });

  it('a file with problems with 2, one line each with its number', async () => {
    const bad = dir.file('bad.yaml', read(dir.campaign).replace('60 %', '160 %').replace('draw:', 'drow:'));
    const run = await sim('campaign', bad);
    expect(run.code).toBe(2);
    expect(run.err).toBe(
      `${bad}:3: key 'drow' is not known here; nearest is 'draw'; allowed are title, scenario, controller, seed, draw, ` +
        'points, vary, correlation, break, worst\n' +
        `${bad}:4: points: a grid has as many as its values make; allowed with draw: random, hypercube\n` +
        [6, 7, 8]
          .map(
            (line, k) => `${bad}:${line}: vary entry ${k + 1}: a grid has to know how many; name 'steps' or 'values'\n`,
          )
          .join('') +
        'nothing was run\n',
    );
  });
});

describe('sim sample-size', () => {
  it('asks for 299 clean runs, and says what they prove', () => {
    expect(sampleSizeText({})).toMatch(/^299 clean runs show at 95 % confidence that at least 99 % of all pass/);
    const proved = JSON.parse(sampleSizeText({ runs: '299', json: true }));
    const because = 'closed form 0.05^(1/299); the limit is bisected to the last bits';
    expectNear(proved.atLeast, 0.05 ** (1 / 299), { abs: 1e-14, because });
    expect(() => sampleSizeText({ share: '0' })).toThrow(/--share 0: allowed is above 0 and below 1/);
    expect(() => sampleSizeText({ runs: '3', failures: '4' })).toThrow(/--failures 4: allowed is 0 to 3/);
  });
});
