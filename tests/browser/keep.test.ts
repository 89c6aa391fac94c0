/** What a person takes along: a set-up as a link, followed by a fresh page. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { setUpFragment } from '../../worker/set-up-link.ts';
import { OpenPage } from '../support/page.ts';

describe('link to a set-up', () => {
  let open: OpenPage;
  beforeAll(async () => {
    const hash = setUpFragment({
      drill: 'light-12',
      controller: 'hall-six-step',
      pace: 0.1,
      hands: { gear: 1, meets: 0, push_N: 60 },
      faults: [{ fault: 'shunt-gain', size: 0.1, leg: 'a' }],
      signals: ['packVoltage', 'currentA'],
    });
    open = await OpenPage.open({ noGl: true, hash });
  });
  afterAll(async () => {
    await open?.close();
  });
  const button = (name: string) => open.page.getByRole('button', { name, exact: true });
  const address = () => open.page.getByRole('textbox', { name: 'The link' }).inputValue();

  it('sets up drill, hands, pace and faults, and nothing turns', async () => {
    await expect.poll(() => open.head('pace')).toBeCloseTo(0.1, 6);
    await expect.poll(() => open.head('gear')).toBe(1);
    expect(await open.head('push_N')).toBe(60);
    expect(await open.signal('trigger')).toBe(0);
    await open.shows(/1 fault armed/);
    // Three cells full at rest: 12.6 V at most (4.2 V a cell, from memory); five would have 15 V at least.
    await open.until('packVoltage', (volts) => volts > 8 && volts < 12.7);
  });

  it('gives the same set-up as a link of its own', async () => {
    await button('Keep').click();
    await expect.poll(address).toContain('#set-up=1.');
    const again = new URL(await address()).hash;
    const before = await open.head('epoch');
    await open.page.evaluate((hash) => {
      location.hash = '';
      location.hash = hash;
    }, again);
    await expect.poll(() => open.head('epoch'), { timeout: 20_000 }).toBe(before + 1);
    await button('Keep').click();
    await button('Keep').click();
    await expect.poll(async () => new URL(await address()).hash, { timeout: 20_000 }).toBe(again);
  });

  it('says what is wrong in a link that cannot be used, and stands as for a first visit', async () => {
    await open.page.keyboard.press('Escape');
    await open.page.evaluate(() => {
      location.hash = '#set-up=1.e30';
    });
    await open.shows(/key 'drill' is missing/);
    await expect.poll(() => open.head('pace')).toBe(1);
    await expect.poll(() => open.head('gear')).toBe(2);
    await open.until('packVoltage', (volts) => volts > 15);
    await button('Go on').click();
    expect(await open.page.getByText('Not set up as the link says').count()).toBe(0);
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
