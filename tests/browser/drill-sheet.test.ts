/** The data of the drills in the page: opened and closed by keys, and the same numbers that the command line prints. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sheetOf } from '../../src/plant/describe/sheet.ts';
import { GROUPS } from '../../src/plant/params.ts';
import { PRESETS, presetNames } from '../../src/plant/presets/index.ts';
import { OpenPage } from '../support/page.ts';

describe('data of the drills', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
  });
  afterAll(async () => {
    await open?.close();
  });
  const button = (name: string | RegExp) => open.page.getByRole('button', { name, exact: true });
  const sheet = () => open.page.locator('drill-sheet');
  /** Name of the control that has the focus. */
  const focused = () =>
    open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      return (at?.getAttribute('aria-label') ?? at?.textContent ?? '').trim();
    });

  it('opens from the head by keys and takes the focus to the drill that runs', async () => {
    await button('Drills').focus();
    await open.page.keyboard.press('Enter');
    await expect.poll(focused).toBe('bench-18');
    expect(await button('Drills').getAttribute('aria-expanded')).toBe('true');
    expect(await button('bench-18').getAttribute('aria-pressed')).toBe('true');
  });

  it('leaves Stop free, and time goes on', async () => {
    const before = await open.signal('time');
    await open.until('time', (t) => t > before + 0.05);
    await button('Stop Esc').click();
    await expect.poll(() => open.head('stopped')).toBe(1);
    expect(await sheet().count()).toBe(1);
  });

  it('shows every parameter of every drill with unit, meaning and source', async () => {
    const count = Object.values(GROUPS).reduce((sum, group) => sum + Object.keys(group).length, 0);
    for (const name of presetNames()) {
      await button(name).click();
      await sheet().getByText(PRESETS[name].title, { exact: true }).waitFor();
      const rows = await sheet()
        .locator('.wide tbody tr')
        .evaluateAll((list) => list.map((row) => [...row.children].map((cell) => cell.textContent?.trim() ?? '')));
      expect(rows).toHaveLength(count);
      const declared = sheetOf(PRESETS[name]).groups.flatMap((g) => g.rows);
      rows.forEach(([doc, key, number, unit, source], k) => {
        const row = declared[k];
        expect([key, source]).toEqual([row.key, row.source]);
        expect(doc.startsWith(row.doc), key).toBe(true);
        expect(unit, key).toBe(row.unit.replace('ohm', 'Ω'));
        if (typeof row.value === 'number' && Number.isInteger(row.value) && Math.abs(row.value) < 1e6) {
          expect(number, key).toBe(String(row.value));
        }
      });
    }
  });

  it('shows the figures of the drill in the units that people read', async () => {
    await button('slotless-24').click();
    const speed = sheet().getByRole('row', { name: /motor alone, block commutation/ });
    const figure = sheetOf(PRESETS['slotless-24'])
      .sections.flatMap((s) => s.figures)
      .find(({ id }) => id === 'block_rad_s');
    expect(await speed.locator('td').allTextContents()).toEqual([String(Math.round(figure?.shown ?? 0)), 'rpm']);
  });

  it('can be scrolled by keys', async () => {
    const side = sheet().getByRole('region', { name: 'Parameters and their sources' });
    await side.focus();
    await open.page.keyboard.press('End');
    await expect.poll(() => side.evaluate((element) => element.scrollTop)).toBeGreaterThan(100);
  });

  it('stays at Escape, which stops the drill as everywhere; goes away at Backspace, and gives the focus back', async () => {
    await open.page.keyboard.down('t');
    await expect.poll(() => open.head('stopped')).toBe(0);
    await open.page.keyboard.press('Escape');
    await expect.poll(() => open.head('stopped')).toBe(1);
    expect(await sheet().count()).toBe(1);
    await open.page.keyboard.press('Backspace');
    await expect.poll(() => sheet().count()).toBe(0);
    await open.page.keyboard.up('t');
    expect(await focused()).toBe('Drills');
    expect(await button('Drills').getAttribute('aria-expanded')).toBe('false');
  });

  it('goes away at Close and at the button in the head', async () => {
    for (const closing of [/^Close/, 'Drills']) {
      await button('Drills').click();
      await expect.poll(() => sheet().count()).toBe(1);
      await button(closing).click();
      await expect.poll(() => sheet().count()).toBe(0);
    }
  });

  it('fits a phone without a second direction to scroll in', async () => {
    await open.page.setViewportSize({ width: 390, height: 844 });
    await button('Drills').click();
    await expect.poll(() => sheet().count()).toBe(1);
    const over = await open.page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    expect(over).toBeLessThanOrEqual(0);
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
