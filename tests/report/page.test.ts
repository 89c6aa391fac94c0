/**
 * The report as a reader has it: in a real browser, without scripts, off line, by day and night, on a phone and on paper.
 *
 * Source  axe-core holds the rules of WCAG 2.1 A and AA and applies them; contrast and sizes are judged there.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { COLORS } from '../../src/report/colors.ts';
import type { RunTold } from '../../src/report/model.ts';
import { pageOf } from '../../src/report/page.ts';
import type { Report } from '../../src/report/report.ts';
import { folder } from '../cli/sim.ts';
import { launchBrowser } from '../support/browser.ts';
import { check, failing, report, run, watched } from './told.ts';

const EVIL =
  '<img src=http://127.0.0.1:9/x onerror=document.title="owned"><script>document.title="owned"</script>"\'&\u0007\u202e</style>';

const weak = run({
  title: 'Magnets weaken',
  verdict: 'failed',
  faults: [{ at_s: 0.05, fault: 'magnet-weak', what: 'begins', met: '' }],
  checks: [
    failing({ requirements: ['R-2'] }),
    check({
      name: 'it turns',
      verdict: 'not evaluated',
      value: null,
      margin: null,
      at_s: null,
      why: 'the run ended before the window',
    }),
  ],
});
const RUNS: readonly RunTold[] = [
  run({ requirements: ['R-1', 'R-10'], checks: [check({ requirements: ['R-2'] })] }),
  weak,
  run({ title: 'Lost', verdict: 'controller lost', why: 'no answer', checks: [], lostTime_s: 0.002 }),
  run({ title: 'Invalid', verdict: 'invalid', why: 'does not hold: energy balances', ordered: ['phase-open'] }),
  run({ title: 'Refused', verdict: 'set-up error', checks: [], problems: ['a.yaml:3: key is not known'] }),
];
const FULL: Report = report(RUNS, {
  watched: new Map([[weak, watched()]]),
  baseline: { file: 'before.json', runs: [run({ checks: [check({ margin: 25 }), check({ name: 'gone' })] })] },
});

describe('a report', () => {
  let browser: Browser;
  const where = folder();
  beforeAll(async () => {
    browser = await launchBrowser();
  });
  afterAll(() => browser.close());

  async function open(
    what: Report,
    size: { width: number; height: number },
    night = false,
    scripts = false,
  ): Promise<Page> {
    const path = join(where, 'report.html');
    writeFileSync(path, pageOf(what));
    const context = await browser.newContext({
      viewport: size,
      colorScheme: night ? 'dark' : 'light',
      javaScriptEnabled: scripts,
    });
    const page = await context.newPage();
    page.on('request', (request) => {
      if (!request.url().startsWith('file:')) asked.push(request.url());
    });
    await page.goto(pathToFileURL(path).href);
    return page;
  }
  const asked: string[] = [];
  const WIDE = { width: 1366, height: 900 };
  const PHONE = { width: 390, height: 844 };

  it.each([
    ['by day', WIDE, false],
    ['by night', { width: 1024, height: 768 }, true],
    ['on a phone', PHONE, false],
    ['on a phone by night', PHONE, true],
  ] as const)('breaks no rule of accessibility %s', async (_, size, night) => {
    const page = await open(FULL, size, night, true);
    // The policy of the file forbids every script: this one comes by the debugger, not by the page.
    const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      // biome-ignore lint/suspicious/noExplicitAny: put there by the line above
      const { violations, passes } = await (window as any).axe.run(document, { resultTypes: ['violations'] });
      const told = violations.map(
        ({ id, nodes }: { id: string; nodes: { html: string }[] }) => `${id}: ${nodes[0].html.slice(0, 160)}`,
      );
      return { told, passed: passes.map(({ id }: { id: string }) => id) };
    });
    expect(found.told).toEqual([]);
    expect(found.passed).toContain('color-contrast');
    await page.context().close();
  });

  it('tells everything without a script, and asks for nothing outside of itself', async () => {
    const page = await open(FULL, WIDE);
    // biome-ignore lint/performance/useDomNodeTextContent: what is rendered counts, not what the markup holds
    const text = (await page.locator('body').innerText()).replaceAll('\u00a0', ' ');
    for (const part of [
      'Failed',
      'Of 5 runs: 1 passed, 1 failed, 1 not evaluated, 1 invalid, 1 controller lost.',
      'in-process',
      'value 103.5 A, limit at most 100 A, margin \u22123.5 A',
      'npm run -s sim -- run scenarios/seat-screw-short.yaml',
      'Signal level.',
      'no answer',
      'does not hold: energy balances',
      'a.yaml:3: key is not known',
      'a094ec6ace8fc01f',
      '4.2 A less room',
      'gone',
      'Reviewer',
      'illustrative, nobody measured it',
    ])
      expect(text, part).toContain(part);
    expect(asked).toEqual([]);
    expect(pageOf(FULL)).not.toMatch(/<script|javascript:|<link|@import|url\((?!#)/i);
    await page.context().close();
  });

  it('lets no name act, whatever it holds', async () => {
    const evil = run({
      title: EVIL,
      file: EVIL,
      drill: EVIL,
      controller: EVIL,
      board: EVIL,
      firmware: EVIL,
      verdict: 'failed',
      why: EVIL,
      stateHash: EVIL,
      again: EVIL,
      point: [{ name: EVIL, text: EVIL }],
      cautions: [EVIL],
      requirements: [EVIL],
      problems: [EVIL],
      faults: [{ at_s: 0.1, fault: EVIL, what: EVIL, met: EVIL }],
      checks: [
        failing({ name: EVIL, why: EVIL, unit: EVIL, bound: EVIL, signal: EVIL, take: EVIL, requirements: [EVIL] }),
      ],
    });
    const hostile = report([evil, run()], {
      title: EVIL,
      command: EVIL,
      versions: { [EVIL]: EVIL },
      baseline: { file: EVIL, runs: [evil] },
    });
    const page = await open(hostile, WIDE, false, true);
    await page.waitForTimeout(100);
    expect(await page.title()).toContain('<script>');
    expect(await page.locator('img,script,iframe,object').count()).toBe(0);
    expect(asked).toEqual([]);
    const text = pageOf(hostile);
    expect(text).not.toContain('\u0007');
    expect(text).not.toContain('\u202e');
    await page.context().close();
  });

  it.each([WIDE, { width: 1024, height: 768 }, PHONE, { width: 320, height: 600 }])(
    'fits its window of $width',
    async (size) => {
      const page = await open(FULL, size, false, true);
      const widest = await page.evaluate(() => document.documentElement.scrollWidth);
      expect(widest).toBeLessThanOrEqual(size.width);
      const out = await page.evaluate(() =>
        [...document.querySelectorAll<SVGTextElement>('svg.plot text')]
          .filter((each) => {
            const [box, plot] = [each.getBoundingClientRect(), each.closest('svg')!.getBoundingClientRect()];
            return (
              box.left < plot.left - 1 ||
              box.right > plot.right + 1 ||
              box.top < plot.top - 1 ||
              box.bottom > plot.bottom + 1
            );
          })
          .map((each) => each.textContent),
      );
      expect(out).toEqual([]);
      await page.context().close();
    },
  );

  it.each([1366, 1160, 1024, 800, 710])('leaves names room to be read in a window of %d', async (width) => {
    const long = report(
      [run({ checks: [check({ name: 'the joint is tightened by the setting, 1.2 N·m, and what the rotor brings' })] })],
      { baseline: FULL.baseline },
    );
    const page = await open(long, { width, height: 900 }, false, true);
    const least = await page.evaluate(() =>
      Math.min(
        ...[...document.querySelectorAll('tbody th[scope=row]')].map((each) => each.getBoundingClientRect().width),
      ),
    );
    // Ten letters of the text: what a word of these names needs.
    expect(least).toBeGreaterThan(80);
    await page.context().close();
  });

  it('goes to paper with its colors, light even at night', async () => {
    const page = await open(FULL, WIDE, true, true);
    const pdf = await page.pdf({ preferCSSPageSize: true });
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
    await page.emulateMedia({ media: 'print' });
    const seen = await page.evaluate(() => ({
      ground: getComputedStyle(document.body).backgroundColor,
      ink: getComputedStyle(document.body).color,
      exact: getComputedStyle(document.documentElement).getPropertyValue('print-color-adjust'),
      nav: getComputedStyle(document.querySelector('nav')!).display,
    }));
    expect(seen).toEqual({ ground: 'rgb(255, 255, 255)', ink: 'rgb(26, 34, 38)', exact: 'exact', nav: 'none' });
    await page.context().close();
  });

  it('tells verdicts apart without color: by letter, and by the border of its box', async () => {
    const page = await open(FULL, WIDE);
    const borders = await page
      .locator('.legend .chip')
      .evaluateAll((all) => all.map((each) => [each.textContent, getComputedStyle(each).borderStyle]));
    expect(borders.map(([letter]) => letter)).toEqual(['P', 'F', 'N', 'I', 'L']);
    expect(borders.slice(2).map(([, style]) => style)).toEqual(['dashed', 'dotted', 'double']);
    await page.context().close();
  });
});

describe('colors', () => {
  const css = readFileSync('components/style/tokens.css', 'utf8');

  it.each(['day', 'night'] as const)('are those of the page by %s', (side) => {
    const from = css.indexOf(`[data-theme="${side}"]`);
    const block = css.slice(from, css.indexOf('}', from));
    for (const [name, value] of Object.entries(COLORS[side])) expect(block, name).toContain(`--${name}: ${value};`);
  });
});
