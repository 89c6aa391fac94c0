/**
 * The plot of a comparison in a real browser: well-formed, nothing hidden, two runs told apart without color, day and night.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Plot, plotSvg } from '../../src/cli/compare-plot.ts';
import { CHANNELS, COLUMNS_MOST, Traces } from '../../src/cli/compare-traces.ts';
import { markText, scaleOf } from '../../src/report/scale.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import { launchBrowser } from '../support/browser.ts';
import { expectNear } from '../support/near.ts';
import { folder } from './sim.ts';

const TICKS = 100_000;
const SPIKE_AT = 61_803;
const torque = CHANNELS.find(({ id }) => id === 'airGapTorque') ?? CHANNELS[0];

/** A flat run in which the torque leaps for a single tick; the angle error is there from the middle on, if at all. */
function tracesOf(spike_Nm: number, angle = true, ticks = TICKS): Traces {
  const traces = new Traces(TICKS);
  const sample = new Float64Array(SIGNALS.length);
  for (let k = 0; k < ticks; k++) {
    sample[SIGNAL_INDEX.airGapTorque] = k === SPIKE_AT ? spike_Nm : 1;
    sample[SIGNAL_INDEX.motorSpeed] = k / 100;
    traces.see(sample, angle && k >= TICKS / 2 ? 0.1 : Number.NaN);
  }
  return traces;
}

describe('traces', () => {
  it('keep a spike of one tick out of a hundred thousand, in place', () => {
    const pieces = tracesOf(9).pieces(torque);
    expect(pieces).toHaveLength(1);
    expect(pieces[0]).toHaveLength(COLUMNS_MOST);
    const seen = pieces[0].filter(({ greatest }) => greatest > 1);
    expect(seen).toHaveLength(1);
    expect(seen[0].greatest).toBe(9);
    const because = 'a column is told by its middle';
    expectNear(seen[0].at, SPIKE_AT / TICKS, { abs: 0.5 / COLUMNS_MOST + 1e-9, because });
  });

  it('break where there is no value and where a run was cut short', () => {
    const [angle] = CHANNELS.filter(({ id }) => id === 'angleError');
    const [piece, ...more] = tracesOf(1).pieces(angle);
    expect(more).toEqual([]);
    expect(piece).toHaveLength(COLUMNS_MOST / 2);
    // 0.1 rad is 18/pi degrees.
    expectNear(piece[0].mean, 18 / Math.PI, { abs: 1e-9, because: 'the sum of equal values is off by rounding only' });
    expect(tracesOf(1, false).pieces(angle)).toEqual([]);
    const short = tracesOf(1, true, TICKS / 4).pieces(torque);
    expect(short[0].at(-1)?.at).toBeLessThan(0.25);
  });

  it('have a column per tick when the run is shorter than the picture', () => {
    const traces = new Traces(30);
    for (let k = 0; k < 30; k++) traces.see(new Float64Array(SIGNALS.length), Number.NaN);
    expect(traces.pieces(torque)[0]).toHaveLength(30);
  });
});

describe('scale', () => {
  it.each([
    [0, 2.7, 9, [0, 0.5, 1, 1.5, 2, 2.5], 1],
    [-21_000, 21_500, 4, [-20_000, 0, 20_000], 0],
    [0, 60, 9, [0, 10, 20, 30, 40, 50, 60], 0],
    [0.0012, 0.0019, 4, [0.0012, 0.0014, 0.0016, 0.0018], 4],
  ])('from %d to %d in about %d steps has round marks', (low, high, count, marks, places) => {
    const scale = scaleOf(low, high, count);
    expect(scale.marks.map((mark) => Number(mark.toPrecision(6)))).toEqual(marks);
    expect(scale.places).toBe(places);
    expect([scale.low, scale.high].map((v) => Number(v.toPrecision(6)))).toEqual([low, high]);
  });

  it.each([0, 5, -3e-9, 18])('holds the flat value %d in its middle, with marks', (value) => {
    const { low, high, marks } = scaleOf(value, value, 4, 0.06);
    expect(low).toBeLessThan(value);
    expect(high).toBeGreaterThan(value);
    expect(marks.length).toBeGreaterThan(1);
  });

  it('writes a real minus, and none before zero', () => {
    expect([markText(-2.5, 1), markText(-1e-12, 1), markText(40, 0)]).toEqual(['\u22122.5', '0.0', '40']);
  });
});

describe('the plot in a browser', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await launchBrowser();
  }, 120_000);
  afterAll(() => browser?.close());

  const plot: Plot = {
    title: 'Pine & larch <seated> "twice"',
    about: 'drill bench-18, seed 1, 5 s of virtual time',
    duration_s: 5,
    presses: [{ from_s: 1, to_s: 2 }, { from_s: 4 }],
    sides: [
      { controller: 'builtin:one', verdict: 'passed', traces: tracesOf(9) },
      { controller: `exec:./two --to ${'x'.repeat(200)}`, verdict: 'controller lost after 1 s', traces: tracesOf(1) },
    ],
  };

  async function open(text: string, scheme: 'light' | 'dark') {
    const path = join(folder(), 'plot.svg');
    writeFileSync(path, text);
    const page = await browser.newPage({ colorScheme: scheme, viewport: { width: 1000, height: 1060 } });
    await page.goto(pathToFileURL(path).href);
    return page;
  }

  it('shows all channels, A solid and B dashed, with names, units and a legend', async () => {
    const page = await open(plotSvg(plot), 'light');
    const seen = await page.evaluate(() => {
      const all = (what: string) => [...document.querySelectorAll<SVGGraphicsElement>(what)];
      return {
        title: document.querySelector('title')?.textContent,
        text: all('text').map((each) => each.textContent),
        dashes: ['.line.a', '.line.b'].map((what) => [
          ...new Set(all(what).map((e) => getComputedStyle(e).strokeDasharray)),
        ]),
        lines: ['.line.a', '.line.b'].map((what) => all(what).length),
        widest: Math.max(...all('text').map((each) => each.getBBox().x + each.getBBox().width)),
        leftmost: Math.min(...all('text').map((each) => each.getBBox().x)),
        presses: all('g .press').length,
      };
    });
    expect(seen.title).toBe(plot.title);
    for (const { title, unit } of CHANNELS) expect(seen.text).toContain(`${title} [${unit}]`);
    expect(seen.text).toContain('virtual time [s]');
    expect(seen.text).toContain('A builtin:one, passed');
    expect(seen.dashes).toEqual([['none'], ['7px, 4px']]);
    // A line for each channel and one in the legend.
    expect(seen.lines).toEqual([CHANNELS.length + 1, CHANNELS.length + 1]);
    expect(seen.presses).toBe(2 * CHANNELS.length);
    expect(seen.widest).toBeLessThan(1000);
    expect(seen.leftmost).toBeGreaterThan(0);
    await page.close();
  });

  it('shows a spike of one tick at its full height', async () => {
    const page = await open(plotSvg(plot), 'light');
    const heights = await page.evaluate(() =>
      [...document.querySelectorAll<SVGGraphicsElement>('path.band.a')].map((each) => each.getBBox().height),
    );
    const because = 'coordinates have one digit after the point; both ends round';
    // The panel is 104 high and keeps 6 % of the range free at both ends.
    expectNear(Math.max(...heights), 104 / 1.12, { abs: 0.1, because });
    await page.close();
  });

  it('is readable by day and by night: text and lines keep their contrast', async () => {
    const text = plotSvg(plot);
    for (const scheme of ['light', 'dark'] as const) {
      const page = await open(text, scheme);
      const colors = await page.evaluate(() => {
        const paint = (what: string, key: 'fill' | 'stroke') =>
          getComputedStyle(document.querySelector(what) as Element)[key];
        return {
          paper: paint('svg > rect', 'fill'),
          marks: [
            paint('.title', 'fill'),
            paint('text.end', 'fill'),
            paint('.line.a', 'stroke'),
            paint('.line.b', 'stroke'),
          ],
        };
      });
      const ratios = colors.marks.map((color) => contrast(color, colors.paper));
      // WCAG 2.1, 1.4.3 and 1.4.11 (from memory): 4.5 : 1 for text, 3 : 1 for graphics.
      expect(Math.min(...ratios.slice(0, 2)), scheme).toBeGreaterThanOrEqual(4.5);
      expect(Math.min(...ratios.slice(2)), scheme).toBeGreaterThanOrEqual(3);
      await page.close();
    }
  });

  it('leaves a channel out that neither side has, and says so', async () => {
    const sides = plot.sides.map((side) => ({ ...side, traces: tracesOf(1, false) }));
    const page = await open(plotSvg({ ...plot, sides: [sides[0], sides[1]] }), 'light');
    const text = await page.evaluate(() => document.documentElement.textContent);
    expect(text).toContain('angle error, estimate minus rotor: neither controller reports one');
    await page.close();
  });
});

/** Contrast of two colors as `rgb(r, g, b)`, by relative luminance: WCAG 2.1, from memory. */
function contrast(one: string, other: string): number {
  const luminance = (color: string) => {
    const [r, g, b] = [...color.matchAll(/\d+/g)].map(([part]) => {
      const share = Number(part) / 255;
      return share <= 0.03928 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const [low, high] = [luminance(one), luminance(other)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}
