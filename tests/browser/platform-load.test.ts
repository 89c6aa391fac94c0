/** What the page costs while a drill runs: how often elements renew, how often it speaks, what becomes of blocks. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { OpenPage } from '../support/page.ts';

/** Time over which is counted [s]. */
const SPAN_S = 3;
/** Numbers renew five times a second; ten is the limit. */
const RENEWALS_PER_S = 10;

interface Counted {
  renewals?: Record<string, number>;
  spoken?: Record<string, number>;
  blocks?: number;
  kept?: number;
}

describe('a page while its drill runs', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    await open.until('trigger', (travel) => travel > 0.1); // the opening demonstration drives
  });
  afterAll(async () => {
    await open?.close();
  });

  /** Counts renewals of every element, changes of every live region, and blocks that came and were handed back. */
  async function count(): Promise<Required<Counted> & { took_s: number; periods: number }> {
    const began_s = await open.signal('time');
    const took_s = await open.page.evaluate(async (span_s) => {
      const counted = globalThis as Counted;
      const renewals: Record<string, number> = {};
      const spoken: Record<string, number> = {};
      counted.renewals = renewals;
      counted.spoken = spoken;
      counted.blocks = 0;
      counted.kept = 0;
      const undo: (() => void)[] = [];
      const seen: Record<string, number> = {};
      const visit = (root: Document | ShadowRoot): void => {
        for (const element of root.querySelectorAll('*')) {
          seen[element.localName] = (seen[element.localName] ?? 0) + 1;
          const name = element.localName + (seen[element.localName] > 1 ? ` ${seen[element.localName]}` : '');
          const lit = element as unknown as { performUpdate?: () => void };
          if (lit.performUpdate) {
            const own = lit.performUpdate;
            renewals[name] ??= 0;
            lit.performUpdate = function (this: unknown) {
              renewals[name]++;
              return own.call(this);
            };
            undo.push(() => Reflect.deleteProperty(lit, 'performUpdate'));
          }
          if (element.matches('[aria-live], [role=status], [role=alert], [role=log]')) {
            const key = `${name} ${element.getAttribute('aria-live') ?? element.getAttribute('role')}`;
            spoken[key] ??= 0;
            const watch = new MutationObserver(() => {
              spoken[key]++;
            });
            watch.observe(element, { childList: true, characterData: true, subtree: true });
            undo.push(() => watch.disconnect());
          }
          if (element.shadowRoot) visit(element.shadowRoot);
        }
      };
      visit(document);
      const send = MessagePort.prototype.postMessage;
      MessagePort.prototype.postMessage = function (this: MessagePort, data: unknown, more?: unknown) {
        send.call(this, data, more as StructuredSerializeOptions);
        if (!(data instanceof ArrayBuffer)) return;
        counted.blocks = (counted.blocks ?? 0) + 1;
        if (data.byteLength > 0) counted.kept = (counted.kept ?? 0) + 1;
      };
      undo.push(() => {
        MessagePort.prototype.postMessage = send;
      });
      const begin_ms = performance.now();
      await new Promise((done) => setTimeout(done, span_s * 1000));
      for (const each of undo) each();
      return (performance.now() - begin_ms) / 1000;
    }, SPAN_S);
    const counted = await open.page.evaluate(() => {
      const { renewals, spoken, blocks, kept } = globalThis as Counted;
      return { renewals, spoken, blocks, kept } as Required<Counted>;
    });
    return { ...counted, took_s, periods: ((await open.signal('time')) - began_s) * 20_000 };
  }

  it('renews no element more often than ten times a second, speaks once a second at most, and hands every block back', async () => {
    const { renewals, spoken, blocks, kept, took_s, periods } = await count();
    const most = Math.max(...Object.values(renewals));
    console.log(
      `${took_s.toFixed(1)} s, ${periods.toFixed(0)} periods, ${blocks} blocks; renewals ${JSON.stringify(renewals)}, spoken ${JSON.stringify(spoken)}`,
    );
    expect(Object.keys(renewals)).toEqual(expect.arrayContaining(['spindle-page', 'head-bar', 'record-view']));
    expect(most).toBeGreaterThan(0); // the count does count
    expect(most).toBeLessThanOrEqual(RENEWALS_PER_S * took_s + 1);
    expect(Object.keys(spoken).length).toBeGreaterThanOrEqual(2);
    for (const [region, times] of Object.entries(spoken)) expect(times, region).toBeLessThanOrEqual(took_s + 1);
    // Thousands of periods went by meanwhile: no sample renewed anything.
    expect(periods).toBeGreaterThan(20 * most);
    expect(blocks).toBeGreaterThan(5);
    expect(kept).toBe(0); // a block that was handed back is gone from the page
  });

  it('does so with the waves open, too', async () => {
    await open.page.getByRole('button', { name: 'Waves', exact: true }).click();
    await open.page.locator('wave-bench').waitFor();
    const counting = count();
    await open.page.evaluate(() => {
      (document.querySelector('spindle-page') as unknown as { session: { stop(): void } }).session.stop();
    }); // something to say
    const { renewals, spoken, took_s, kept } = await counting;
    console.log(`waves open: renewals ${JSON.stringify(renewals)}, spoken ${JSON.stringify(spoken)}`);
    expect(Object.keys(renewals)).toContain('wave-bench');
    for (const [name, times] of Object.entries(renewals))
      expect(times, name).toBeLessThanOrEqual(RENEWALS_PER_S * took_s + 1);
    for (const [region, times] of Object.entries(spoken)) expect(times, region).toBeLessThanOrEqual(took_s + 1);
    expect(Object.values(spoken).reduce((sum, times) => sum + times, 0)).toBeGreaterThan(0); // it was heard
    expect(kept).toBe(0);
    expect(open.problems).toEqual([]);
  });
});
