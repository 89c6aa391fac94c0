/**
 * Time in the page by keys alone: freeze, step both ways down to the model's own, rewind, go through it again, carry on, freeze on
 * a condition; no barrier on the way; and a hundred workers that come and go.
 *
 * Source  no barrier: rules of axe-core for WCAG 2.2 A and AA.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Look, Looked, PastNews } from '../../worker/api.ts';
import { expectNear } from '../support/near.ts';
import { OpenPage } from '../support/page.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const PERIOD_S = 50e-6;

interface Insight {
  session: {
    readonly news: { readonly past: PastNews };
    setHands(hands: object): void;
    readonly api: { look(ask: Look): Promise<Looked> };
  };
}
/** Elements behind shadow roots, from the outside in. */
type Inside = { readonly fromShadowDom: readonly string[] };
declare const axe: {
  run(context: { include: Inside[] }): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }>;
};

describe('time by keyboard', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    await open.until('screwDepth', (depth_m) => depth_m > 2e-3);
    await open.until('time', (t) => t > 1); // there must be a moment 0.8 s ago to go back to
  });
  afterAll(async () => {
    await open?.close();
  });

  const press = (key: string) => open.page.keyboard.press(key);
  const button = (name: string | RegExp) => open.page.getByRole('button', { name, exact: true });
  const strip = () => open.page.getByRole('slider', { name: 'Whole run' });
  const past = () =>
    open.page.evaluate(() => (document.querySelector('spindle-page') as unknown as Insight).session.news.past);
  const time = () => open.signal('time');
  const untilPast = async (holds: (news: PastNews) => boolean) => {
    for (let k = 0; k < 300; k++) {
      const news = await past();
      if (holds(news)) return news;
      await open.page.waitForTimeout(50);
    }
    throw new Error(`the past is ${JSON.stringify(await past())}; ${holds} was never met`);
  };
  const barriers = async (tag = 'time-rail') => {
    await open.page.evaluate(AXE);
    return open.page.evaluate(async (tag) => {
      const include = [{ fromShadowDom: ['spindle-page', tag] }];
      const { violations } = await axe.run({ include });
      return violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' ')}`);
    }, tag);
  };

  it('freezes, and steps by one period either way', async () => {
    await button('Freeze').focus();
    await press('Enter');
    await open.shows('Frozen');
    await untilPast(({ now_s, held }) => now_s === held.to_s);
    const at = await time();
    await press(';');
    await open.until('time', (t) => Math.abs(t - (at - PERIOD_S)) < 1e-9);
    await open.shows('Rewound');
    await press(':');
    await open.until('time', (t) => Math.abs(t - at) < 1e-9);
  });

  it('steps within a period by 1 µs or less, and says so', async () => {
    const at = await time();
    await press(',');
    const finer = await open.until('time', (t) => t < at);
    expect(at - finer).toBeLessThan(1.001e-6);
    await open.shows('Within a period');
    await press('.');
    await open.until('time', (t) => Math.abs(t - at) < 1e-9);
    expect(await barriers()).toEqual([]);
  });

  it('rewinds to a moment that is typed, with the hands of that moment', async () => {
    const before = await past();
    await button('Rewind to…').focus();
    await press('Enter');
    const to_s = Math.round((before.held.to_s - 0.8) * 1e4) / 1e4;
    await open.page.keyboard.type(to_s.toFixed(4));
    expect(await barriers()).toEqual([]);
    await press('Enter');
    await open.until('time', (t) => Math.abs(t - to_s) < PERIOD_S);
    await open.shows(`Rewound to ${to_s.toFixed(4)} s`);
    await open.page.keyboard.press('Control+a');
    await open.page.keyboard.type('1000');
    await press('Enter');
    await open.shows(/has not happened yet/);
    await button('Close').focus();
    await press('Enter');
  });

  it('goes through the same again with Run, and moves on the strip with the arrows', async () => {
    const { held } = await past();
    await button('Run').focus();
    await press('Enter');
    await untilPast((news) => !news.rewound && news.now_s > held.to_s);
    await button('Freeze').focus();
    await press('Enter');
    await expect.poll(() => open.head('running')).toBe(0); // the word may stand from before
    await strip().focus();
    const at = await time();
    await press('ArrowLeft');
    await open.until('time', (t) => Math.abs(t - (at - 1e-3)) < PERIOD_S);
    await press('PageDown');
    await open.until('time', (t) => Math.abs(t - (at - 0.101)) < 2 * PERIOD_S);
  });

  it('carries on from there, and keeps what came after as the ghost', async () => {
    const { held } = await untilPast(({ rewound }) => rewound);
    await button('Carry on from here').focus();
    await press('Enter');
    const news = await untilPast(({ rewound, ghost }) => !rewound && ghost !== undefined);
    expect(news.held.to_s).toBeLessThan(held.to_s - 0.09);
    expect(news.ghost?.held.to_s).toBe(held.to_s);
  });

  it('compares with another resistance of the winding, and gives the focus back', async () => {
    await button('Compare…').focus();
    await press('Enter');
    await open.page.getByLabel('Number of the drill').selectOption('winding.r_ohm');
    await open.page.getByLabel('Value, Ω').fill('0.05');
    await press('Enter');
    await open.shows('Ghost: winding.r_ohm = 0.05');
    await open.page.getByRole('row', { name: /quadrature-axis current/ }).waitFor();
    expect(await barriers('compare-sheet')).toEqual([]);
    const cells = open.page
      .locator('compare-sheet')
      .getByRole('row', { name: 'mechanical speed of the rotor' })
      .first()
      .locator('td');
    const numberOf = async (k: number) =>
      Number.parseFloat(((await cells.nth(k).textContent()) ?? '').replaceAll('\u2212', '-'));
    const [own, other, apart] = [await numberOf(1), await numberOf(2), await numberOf(3)];
    expect(apart).not.toBe(0);
    expectNear(apart, other - own, {
      abs: 2e-3 * Math.abs(own),
      because: 'each of the three is shown with four digits',
    });
    expect(await cells.nth(4).textContent()).toBe('rpm');
    // The same once more: nowhere apart, and no number that is but rounding.
    await open.page.getByLabel('Number of the drill').selectOption('');
    await button('Go through again').click();
    await open.shows('Ghost: the same once more');
    await open.shows(/In these signals both runs are the same/);
    const differences = await open.page.locator('compare-sheet tbody tr td:nth-last-child(2)').allTextContents();
    expect(new Set(differences.map((text) => text.trim()))).toEqual(new Set(['0', 'nowhere apart']));
    await open.page.locator('compare-sheet').getByRole('button', { name: 'Close' }).press('Enter');
    const focused = await open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      return at?.textContent?.trim();
    });
    expect(focused).toBe('Compare…');
  });

  it('freezes when the chuck turns faster than was typed', async () => {
    await button('Freeze when…').focus();
    await press('Enter');
    await open.page.getByLabel('Condition').selectOption('rises through');
    await open.page.getByLabel('Signal').selectOption('chuckSpeed');
    await open.page.getByLabel('Level').fill('100');
    expect(await barriers()).toEqual([]);
    await open.page.getByLabel('Level').press('Enter');
    await open.shows('Freezes when speed of the chuck rises through 100');
    await open.page.evaluate(() =>
      (document.querySelector('spindle-page') as unknown as Insight).session.setHands({ meets: 0, trigger: 0 }),
    );
    await button('Run').focus();
    await press('Enter');
    await open.until('chuckSpeed', (speed) => Math.abs(speed) < 1);
    await open.page.evaluate(() =>
      (document.querySelector('spindle-page') as unknown as Insight).session.setHands({ trigger: 0.6 }),
    );
    await open.shows(/Frozen at .* speed of the chuck rises through 100/);
    const [before, speed] = await open.page.evaluate(async () => {
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      const at_s = session.news.past.frozen?.at_s ?? 0;
      const ask = { run: 'now', channels: ['chuckSpeed'], from_s: at_s - 50e-6, to_s: at_s, points: 2 } as const;
      return [...(await session.api.look(ask)).data[0]];
    });
    const level = (100 * 2 * Math.PI) / 60;
    expect(before).toBeLessThan(level);
    expect(speed).toBeGreaterThanOrEqual(level);
    expect(await open.signal('chuckSpeed')).toBeCloseTo(speed, 5);
    expect(await button('Freeze').getAttribute('aria-pressed')).toBe('true');
    expect(open.problems).toEqual([]);
  });
});

/** Workers that come and go, and how many at a time. */
const WORKERS = 100;
const AT_ONCE = 4;

describe('the worker', () => {
  it('answers every call and leaves nothing behind, a hundred times over', async () => {
    const open = await OpenPage.open({ noGl: true });
    try {
      const cdp = await open.page.context().newCDPSession(open.page);
      const heap = async () => {
        await cdp.send('HeapProfiler.collectGarbage');
        const { usedSize } = await cdp.send('Runtime.getHeapUsage');
        return usedSize;
      };
      const batch = (count: number) => open.page.evaluate(startAndStop, { count, atOnce: AT_ONCE });
      await open.page.keyboard.press('Escape');
      expect(await batch(AT_ONCE)).toBe(AT_ONCE);
      const before = await heap();
      expect(await batch(WORKERS)).toBe(WORKERS);
      const grown = (await heap()) - before;
      await expect.poll(() => open.page.workers().length).toBe(1);
      // 20 KB each: the record of the page's own run goes on growing meanwhile; a kept worker or block would be 100 KB.
      expect(grown).toBeLessThan(WORKERS * 20_000);
      expect(open.problems).toEqual([]);
    } finally {
      await open.close();
    }
  });
});

/** In the page: starts workers, asks each three things at once, ends it when all are answered; how many did answer. */
async function startAndStop({ count, atOnce }: { count: number; atOnce: number }): Promise<number> {
  const script = performance.getEntriesByType('resource').find(({ name }) => /drill\.worker-.*\.js$/.test(name));
  if (!script) throw new Error('the script of the worker was not found');
  const one = async (): Promise<number> => {
    const worker = new Worker(script.name, { type: 'module' });
    const call = (path: string, argumentList: unknown[] = []) =>
      new Promise<unknown>((resolve, reject) => {
        const id = `${path}-${Math.random()}`;
        const hear = ({ data }: MessageEvent<{ id: string; value: unknown; type: string }>) => {
          if (data.id !== id) return;
          worker.removeEventListener('message', hear);
          if (data.type === 'RAW') resolve(data.value);
          else reject(new Error(`${path} threw`));
        };
        worker.addEventListener('message', hear);
        const args = argumentList.map((value) => ({ type: 'RAW', value }));
        worker.postMessage({ id, type: 'APPLY', path: [path], argumentList: args });
      });
    const [catalog, sheets, fault] = await Promise.all([call('catalog'), call('sheets'), call('fault')]);
    worker.terminate();
    const { drills } = catalog as { drills: string[] };
    return drills.length > 0 && (sheets as unknown[]).length === drills.length && fault === '' ? 1 : 0;
  };
  let answered = 0;
  for (let k = 0; k < count; k += atOnce) {
    const some = await Promise.all(Array.from({ length: Math.min(atOnce, count - k) }, one));
    answered += some.reduce((sum, each) => sum + each, 0);
  }
  return answered;
}
