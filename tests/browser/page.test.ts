/** The page as a person meets it: it runs by itself, hands drive it, Stop stops it, and keys are enough. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BUSY } from '../support/busy-scenario.ts';
import { expectNear } from '../support/near.ts';
import { OpenPage } from '../support/page.ts';

/** A chuck faster than this is being driven, not merely shaken by its backlash [rad/s]. */
const TURNS_RAD_S = 5;

describe('page', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
  });
  afterAll(async () => {
    await open?.close();
  });
  const button = (name: string) => open.page.getByRole('button', { name, exact: true });
  const pressed = (name: string) => button(name).getAttribute('aria-pressed');

  it('drives a screw by itself once and says so', async () => {
    await open.shows('Opening demonstration');
    await open.until('screwDepth', (depth_m) => depth_m > 1e-3);
  });

  it('reaches Stop with the first Tab', async () => {
    await open.page.keyboard.press('Tab');
    const first = await open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      return at?.textContent;
    });
    expect(first).toBe('Stop Esc');
  });

  it('says how the controller is coupled and which share of life is reached', async () => {
    await open.shows(/In-process\. [01]\.\d\d of life/);
  });

  it('accounts for every wall second as virtual time or as lost time', async () => {
    const read = async () => ({
      virtual_s: await open.signal('time'),
      lost_s: await open.head('lost_s'),
      wall_s: (await open.page.evaluate(() => performance.now())) / 1000,
    });
    const before = await read();
    await open.page.waitForTimeout(1500);
    const after = await read();
    const booked_s = after.virtual_s - before.virtual_s + after.lost_s - before.lost_s;
    expectNear(booked_s, after.wall_s - before.wall_s, {
      abs: 0.5,
      because: 'each of the two readings may be late by 100 ms of catch-up and by 200 ms of a busy page',
    });
  });

  it('stops from anywhere at Escape: trigger released, all legs open', async () => {
    await open.page.keyboard.press('Escape');
    await open.shows('Stopped');
    await open.until('trigger', (travel) => travel === 0);
    await open.until('gates', (gates) => gates === 0);
  });

  it('gives one hint to who has never driven here', async () => {
    await open.shows(/^Your turn: press and hold the trigger/);
  });

  it('turns the chuck while T is held and not after', async () => {
    await button('Nothing').click();
    await open.page.keyboard.down('t');
    await open.until('chuckSpeed', (speed_rad_s) => speed_rad_s > TURNS_RAD_S);
    await open.page.keyboard.up('t');
    await open.until('trigger', (travel) => travel === 0);
    await open.until('chuckSpeed', (speed_rad_s) => Math.abs(speed_rad_s) < TURNS_RAD_S);
  });

  it('gives the hint no more once somebody has driven, not even after a reload', async () => {
    const hint = open.page.getByText(/^Your turn:/);
    await expect.poll(() => hint.count(), { timeout: 20_000 }).toBe(0);
    await open.page.reload();
    await open.until('time', (t) => t > 0);
    expect(await hint.count()).toBe(0);
    await open.page.keyboard.press('Escape');
    await button('Nothing').click();
  });

  it('stops at the Stop button while the trigger is squeezed', async () => {
    await open.page.keyboard.down('t');
    await open.until('chuckSpeed', (speed_rad_s) => speed_rad_s > TURNS_RAD_S);
    await button('Stop Esc').click();
    await open.until('gates', (gates) => gates === 0);
    await open.until('trigger', (travel) => travel === 0);
    await open.page.keyboard.up('t');
  });

  it('moves the trigger by arrow, Page, Home and End keys', async () => {
    const slider = open.page.getByRole('slider', { name: /Trigger/ });
    await slider.focus();
    await open.page.keyboard.press('Home');
    for (const key of ['PageUp', 'ArrowUp', 'ArrowRight', 'ArrowLeft']) await open.page.keyboard.press(key);
    expect(await slider.getAttribute('aria-valuetext')).toBe('11 percent');
    await open.until('trigger', (travel) => Math.abs(travel - 0.11) < 1e-12);
    await open.page.keyboard.press('End');
    expect(await slider.getAttribute('aria-valuetext')).toBe('100 percent');
    await open.page.keyboard.press('Home');
    await open.until('trigger', (travel) => travel === 0);
  });

  it('sets direction and gear by I, L, O, 1 and 2', async () => {
    await open.page.keyboard.press('o');
    await open.page.keyboard.press('1');
    await expect.poll(() => pressed('Out')).toBe('true');
    await expect.poll(() => pressed('1')).toBe('true');
    await open.page.keyboard.down('t');
    await open.until('chuckSpeed', (speed_rad_s) => speed_rad_s < -TURNS_RAD_S);
    await open.page.keyboard.up('t');
    await open.page.keyboard.press('l');
    await expect.poll(() => pressed('Locked')).toBe('true');
    await open.page.keyboard.press('i');
    await open.page.keyboard.press('2');
    await expect.poll(() => pressed('In')).toBe('true');
  });

  it('lets go of the chuck when G is released', async () => {
    await open.page.keyboard.down('g');
    await expect.poll(() => pressed('Grip')).toBe('true');
    await open.page.keyboard.up('g');
    await expect.poll(() => pressed('Grip')).toBe('false');
  });

  it('leaves letters alone once they are switched off, and Escape works on', async () => {
    await button('Letter keys on').click();
    await open.page.keyboard.down('t');
    await open.page.waitForTimeout(200);
    expect(await open.signal('trigger')).toBe(0);
    await open.page.keyboard.up('t');
    await open.page.keyboard.press('Escape');
    await open.shows('Stopped');
    await button('Letter keys off').click();
  });

  it('holds time at Freeze and goes on by whole PWM periods', async () => {
    await button('Freeze').click();
    await expect.poll(() => open.head('running')).toBe(0);
    const before_s = await open.signal('time');
    await button('+ 50 µs').click();
    const after_s = await open.until('time', (t) => t !== before_s);
    expectNear(after_s - before_s, 50e-6, { abs: 1e-9, because: 'rounding of a time of some seconds in a float64' });
    await button('Run').click();
    await open.until('time', (t) => t > after_s + 0.01);
  });

  it('shows lost time when the worker is kept from its work', async () => {
    // A scenario occupies the same worker for as long as it takes; the catch-up is capped at 100 ms.
    const before_s = await open.head('lost_s');
    await open.playInWorker(BUSY);
    await open.playInWorker(BUSY);
    await expect.poll(() => open.head('lost_s'), { timeout: 20_000 }).toBeGreaterThan(before_s);
    await open.shows(/Lost time: /);
  });

  it('cuts no word in the head on a laptop, a projector, a large screen or a phone', async () => {
    const sizes = [
      [1920, 1080],
      [1024, 768],
      [390, 844],
      [1366, 768],
    ] as const;
    for (const [width, height] of sizes) {
      await open.page.setViewportSize({ width, height });
      const cut = () =>
        open.page.locator('head-bar').evaluate((head) => {
          const lines = [...(head.shadowRoot?.querySelectorAll<HTMLElement>('b, small, button, h1') ?? [])];
          const beyond = (e: HTMLElement) => e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0;
          return [lines.length > 10, ...lines.filter(beyond).map(({ textContent }) => textContent)];
        });
      await expect.poll(cut, { message: `${width} px` }).toEqual([true]);
    }
  });

  it('names every control and describes the drawing in a sentence', async () => {
    for (const control of await open.page.getByRole('button').all()) {
      const name = (await control.getAttribute('aria-label')) ?? (await control.textContent())?.trim();
      expect(name, await control.innerHTML()).toBeTruthy();
    }
    await open.page.getByRole('img', { name: /Cordless drill in section/ }).waitFor();
    await open.page.getByRole('group', { name: 'Chuck torque' }).waitFor();
  });

  it('draws its waves without a graphics card and says so', async () => {
    await open.shows(/Drawing without the graphics card/);
    // Six rows, each with a stroke of one pixel at least over half of the close-up alone (342 px).
    expect(await open.inked()).toBeGreaterThan(6 * 170);
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
