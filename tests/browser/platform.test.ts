/**
 * The page keeps to itself: through a tour of everything that opens, each request goes to its own origin, the policy that
 * the server sets is the strict one, and nothing on the page runs against it.
 */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PANEL_LABELS } from '../../components/spindle-page/words.ts';
import { OpenPage } from '../support/page.ts';

/** Of a first visit [ms], measured from the start of loading to the first virtual time that passes. */
const FIRST_MS = 2000;

interface Insight {
  readonly session?: { readonly record: { readonly now: Float64Array } };
}

interface Seen {
  seenViolations?: string[];
}

describe('platform', () => {
  let open: OpenPage;
  const asked: string[] = [];
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    open.page.on('request', (request) => asked.push(request.url()));
    await open.page.addInitScript(() => {
      const seen: string[] = [];
      (window as Seen).seenViolations = seen;
      document.addEventListener('securitypolicyviolation', (e) => seen.push(`${e.violatedDirective} ${e.blockedURI}`));
    });
    await open.page.reload();
    await open.until('time', (t) => t > 0);
  });
  afterAll(async () => {
    await open?.close();
  });
  const violations = () => open.page.evaluate(() => (window as Seen).seenViolations ?? ['no listener']);

  it('sets a policy that allows no script in the page, none from text, and no other origin', async () => {
    const answer = await open.page.request.get(open.page.url());
    const policy = new Map(
      (answer.headers()['content-security-policy'] ?? '').split(';').map((part) => {
        const [name, ...sources] = part.trim().split(/\s+/);
        return [name, sources] as const;
      }),
    );
    expect(policy.get('default-src')).toEqual(["'self'"]);
    const scripts = policy.get('script-src') ?? [];
    expect(scripts).not.toContain("'unsafe-inline'");
    expect(scripts).not.toContain("'unsafe-eval'");
    for (const name of ['object-src', 'base-uri', 'form-action', 'frame-ancestors'])
      expect(policy.get(name), name).toEqual(["'none'"]);
    const own = /^('self'|'none'|'unsafe-inline'|'wasm-unsafe-eval'|data:|blob:|ws:\/\/(127\.0\.0\.1|localhost):\*)$/;
    for (const [name, sources] of policy) for (const source of sources) expect(source, name).toMatch(own);
  });

  it('opens everything in the head without a request to another origin or a breach of the policy', async () => {
    for (const label of Object.values(PANEL_LABELS)) {
      const button = open.page.getByRole('button', { name: label, exact: true });
      if ((await button.count()) === 0) continue; // opened from elsewhere on the page
      await button.click();
      await open.page.waitForTimeout(400);
    }
    await open.page
      .getByRole('button', { name: /Who drives/ })
      .first()
      .click();
    const origin = new URL(open.page.url()).origin;
    expect(asked.length).toBeGreaterThan(5);
    expect(
      asked.filter((url) => !['data:', 'blob:'].includes(new URL(url).protocol) && new URL(url).origin !== origin),
    ).toEqual([]);
    expect(await violations()).toEqual([]);
  });

  it('notices a breach: code made from text, a script in the page, a request to another origin', async () => {
    const reached = await open.page.evaluate(async () => {
      const results: string[] = [];
      const script = document.createElement('script');
      script.textContent = 'document.title = "taken"';
      document.head.append(script);
      try {
        await fetch('https://example.invalid/');
        results.push('fetch');
      } catch {
        // refused
      }
      return [...results, document.title];
    });
    expect(reached).toEqual(['Phantom Spindle']);
    await expect
      .poll(violations)
      .toEqual(
        expect.arrayContaining([
          expect.stringMatching(/^script-src/),
          expect.stringMatching(/^connect-src https:\/\/example\.invalid/),
        ]),
      );
  });

  it(`runs within ${FIRST_MS / 1000} s of the first visit`, async () => {
    const address = open.page.url();
    await open.page.goto('about:blank'); // a visitor has one page, which has the machine to itself
    const took_ms: number[] = [];
    // The shortest of three: what else the machine does only adds. Each visit has its own store and cache.
    for (let k = 0; k < 3; k++) {
      const visit = await open.page.context().browser()?.newContext();
      const page = await visit?.newPage();
      if (!visit || !page) throw new Error('no visit');
      await page.goto(address, { waitUntil: 'commit' });
      const found = await page.waitForFunction(() => {
        const host = document.querySelector('spindle-page') as unknown as Insight | null;
        return (host?.session?.record.now[0] ?? 0) > 0 ? performance.now() : undefined;
      });
      took_ms.push(Number(await found.jsonValue()));
      await visit.close();
    }
    console.log(`time passes ${took_ms.map((ms) => ms.toFixed(0)).join(', ')} ms after the start of loading`);
    expect(Math.min(...took_ms)).toBeLessThan(FIRST_MS);
  });
});
