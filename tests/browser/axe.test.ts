/**
 * No barrier anywhere: the whole page at rest and with each panel open, day and night.
 *
 * Source  rules of axe-core for WCAG 2.2 A and AA and its best practices (landmarks, headings), with the one on names that contain
 *         the visible text (WCAG 2.5.3) switched on.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PANELS, type Panel } from '../../components/spindle-page/panels.ts';
import { OpenPage } from '../support/page.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
/** A barrier is told by so many of the elements that have it. */
const TOLD = 5;

interface Found {
  readonly id: string;
  /** Path through the shadow roots, from the outside in. */
  readonly nodes: readonly { readonly target: readonly (string | readonly string[])[]; readonly html: string }[];
}
declare const axe: {
  run(
    context: Document,
    options: { rules: Record<string, { enabled: boolean }> },
  ): Promise<{ violations: Found[]; passes: Found[] }>;
};

describe('the whole page', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    await open.page.keyboard.press('Escape');
    await open.shows('Stopped');
    await open.page.evaluate(AXE);
  });
  afterAll(async () => {
    await open?.close();
  });

  const theme = () => open.page.evaluate(() => document.documentElement.dataset.theme);
  /** What axe finds fault with, and the elements of the page that it found nothing wrong with. */
  const look = () =>
    open.page.evaluate(async (told) => {
      const { violations, passes } = await axe.run(document, {
        rules: { 'label-content-name-mismatch': { enabled: true } },
      });
      const sound = passes.flatMap(({ nodes }) => nodes.map(({ target }) => target.flat()[1]));
      return {
        barriers: violations.map(
          ({ id, nodes }) =>
            `${id}: ${nodes
              .slice(0, told)
              .map(({ target, html }) => `${target.flat().join(' ')} is ${html}`)
              .join('\n')}`,
        ),
        seen: [...new Set(sound)],
      };
    }, TOLD);
  /** Looks by day and by night. */
  const expectNone = async (part: string) => {
    for (const _ of ['as it is', 'the other way']) {
      const { barriers, seen } = await look();
      expect(barriers, `${await theme()}`).toEqual([]);
      // Only what axe has been in counts as free of barriers.
      expect(seen.some((at) => at?.startsWith(part))).toBe(true);
      const before = await theme();
      await open.page.getByRole('button', { name: /^(Day|Night)$/ }).click();
      await expect.poll(theme).not.toBe(before);
    }
  };
  /** Asks for a panel as the head does when one of its buttons is pressed. */
  const ask = (id: Panel['id']) =>
    open.page.locator('head-bar').evaluate((head, detail) => {
      head.dispatchEvent(new CustomEvent('panel', { detail }));
    }, id);

  it('has no barrier at rest', async () => {
    await expectNone('head-bar');
  });

  it.each(PANELS)('has no barrier with $id open', async ({ id, tag }) => {
    await ask(id);
    // A panel that has all it shows takes the focus.
    const panel = open.page.locator(tag);
    await expect.poll(() => panel.evaluate((element) => element.matches(':focus-within'))).toBe(true);
    await expectNone(tag);
    await ask(id);
    await panel.waitFor({ state: 'detached' });
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
