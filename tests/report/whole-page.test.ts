/**
 * What the command line leaves for people, in a real browser by day and by night: the page of a run with a fault, and that of a
 * campaign with its matrix of faults and situations.
 *
 * Source  axe-core holds the rules of WCAG 2.1 A and AA and applies them; contrast is judged there.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { campaignFolder } from '../cli/campaign-rig.ts';
import { sim } from '../cli/sim.ts';
import { launchBrowser } from '../support/browser.ts';

/** A press and a release of a tenth of a second; a wire breaks at rest, in the press, and while it coasts. */
const JOB = `title: A short job
drill: bench-18
seed: 4
duration: 0.1 s
chuck: { gear: 2 }
timeline:
  - { at: 10 ms, trigger: 40 %, over: 10 ms }
  - { at: 80 ms, trigger: 0 % }
faults:
  - { fault: phase-open, leg: a, at: 50 ms }
checks:
  - { name: it turns, signal: chuckSpeed, take: largest, at least: 20 rpm }
  - { name: the phase current stays in its limit, signal: currentQ, take: peak, at most: 150 A }
`;
const MATRIX = `title: A wire or a sensor breaks
scenario: job.yaml
vary:
  - { place: faults.1.fault, values: [phase-open, hall-low] }
  - { place: faults.1.at, values: [5 ms, 50 ms, 90 ms] }
`;

const dir = campaignFolder();
dir.file('job.yaml', JOB);
dir.file('matrix.yaml', MATRIX);
const PAGES = ['run.html', 'matrix.html'] as const;
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

describe('the page of', () => {
  let browser: Browser;
  beforeAll(async () => {
    const [opened, ran, matrix] = await Promise.all([
      launchBrowser(),
      sim('run', dir.at('job.yaml'), '--html', dir.at('run.html')),
      sim(
        'campaign',
        dir.at('matrix.yaml'),
        '--jobs',
        '2',
        '--out',
        dir.at('m.jsonl'),
        '--html',
        dir.at('matrix.html'),
      ),
    ]);
    browser = opened;
    // A run that does not pass leaves its page too.
    expect([0, 1], ran.err).toContain(ran.code);
    expect([0, 1], matrix.err).toContain(matrix.code);
  }, 60_000);
  afterAll(() => browser?.close());

  it.each(PAGES.flatMap((name) => (['light', 'dark'] as const).map((side) => [name, side] as const)))(
    '%s breaks no rule of accessibility when it is %s, and tells what the fault met',
    async (name, side) => {
      const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, colorScheme: side });
      const page = await context.newPage();
      await page.goto(pathToFileURL(dir.at(name)).href);
      // The policy of the file forbids every script: this one comes by the debugger, not by the page.
      await page.evaluate(AXE);
      const found = await page.evaluate(async () => {
        // biome-ignore lint/suspicious/noExplicitAny: put there by the line above
        const { violations, passes } = await (window as any).axe.run(document);
        const told = violations.map(
          ({ id, nodes }: { id: string; nodes: { html: string }[] }) => `${id}: ${nodes[0].html.slice(0, 160)}`,
        );
        return { told, passed: passes.map(({ id }: { id: string }) => id) };
      });
      expect(found.told).toEqual([]);
      expect(found.passed).toContain('color-contrast');
      const columns = await page.locator('table.matrix').first().locator('thead th').allInnerTexts();
      expect(columns).toEqual(
        name === 'run.html' ? ['Fault', 'slow'] : ['Fault', 'at rest', 'slow', 'coasting or braking'],
      );
      const letters = await page.locator('table.matrix').first().locator('td .chip').count();
      expect(letters).toBe(name === 'run.html' ? 1 : 6);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(1366);
      await context.close();
    },
  );
});
