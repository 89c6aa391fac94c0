/** The drill in hand: what each hand control does to the plant, keys, and a gamepad that the test imitates. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { OpenPage } from '../support/page.ts';

/** A chuck faster than this is being driven, not merely shaken by its backlash [rad/s]. */
const TURNS_RAD_S = 5;

describe('the drill in hand', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    await open.page.keyboard.press('Escape');
    // What the browser would tell of a pad: the page only ever looks at this list.
    await open.page.evaluate(() => {
      const buttons = Array.from({ length: 17 }, () => ({ pressed: false, touched: false, value: 0 }));
      const pad = { mapping: 'standard', connected: true, id: 'imitated', index: 0, timestamp: 0, axes: [], buttons };
      Object.assign(window, { pad });
      navigator.getGamepads = () => [null, pad] as unknown as (Gamepad | null)[];
    });
    await button('Nothing').click();
  });
  afterAll(async () => {
    await open?.close();
  });
  const button = (name: string) => open.page.getByRole('button', { name, exact: true });
  const slider = (name: string | RegExp) => open.page.getByRole('slider', { name });
  const press = (k: number, value: number) =>
    open.page.evaluate(
      ([which, travel]) => {
        const { pad } = window as unknown as { pad: { buttons: { pressed: boolean; value: number }[] } };
        Object.assign(pad.buttons[which], { value: travel, pressed: travel > 0.5 });
      },
      [k, value],
    );
  const TRIGGER = 7;
  const B = 1;

  it('says that a gamepad squeezes', async () => {
    await open.shows('or the right trigger of the gamepad');
  });

  it('squeezes by the right trigger of the gamepad as far as it is pulled, and lets go with it', async () => {
    await press(TRIGGER, 0.52); // half of the way from rest, 0.04, to the end
    await open.until('trigger', (travel) => Math.abs(travel - 0.5) < 1e-6);
    await open.until('chuckSpeed', (speed_rad_s) => speed_rad_s > TURNS_RAD_S);
    await press(TRIGGER, 0);
    await open.until('trigger', (travel) => travel === 0);
  });

  it('stops at B, and squeezes again only after the trigger of the gamepad was let go', async () => {
    await press(TRIGGER, 1);
    await open.until('chuckSpeed', (speed_rad_s) => speed_rad_s > TURNS_RAD_S);
    await press(B, 1);
    await open.shows('Stopped');
    await open.until('gates', (gates) => gates === 0);
    await press(B, 0);
    await open.page.waitForTimeout(300);
    expect(await open.signal('trigger')).toBe(0);
    await press(TRIGGER, 0);
    await open.page.waitForTimeout(100);
    await press(TRIGGER, 1);
    await open.until('trigger', (travel) => travel > 0.9);
    await press(TRIGGER, 0);
    await open.until('trigger', (travel) => travel === 0);
  });

  it('keeps what the slider set while the gamepad rests', async () => {
    await slider(/Trigger/).focus();
    for (const key of ['Home', 'PageUp', 'PageUp']) await open.page.keyboard.press(key);
    await open.page.waitForTimeout(200);
    await open.until('trigger', (travel) => Math.abs(travel - 0.2) < 1e-6);
    await open.page.keyboard.press('Home');
    await open.until('trigger', (travel) => travel === 0);
  });

  it('squeezes while the drawn trigger is held by pointer or by Enter', async () => {
    const hold = open.page.getByRole('button', { name: /^Squeeze to/ });
    await hold.hover();
    await open.page.mouse.down();
    await open.until('trigger', (travel) => travel > 0.1);
    await open.page.mouse.up();
    await open.until('trigger', (travel) => travel === 0);
    await hold.focus();
    await open.page.keyboard.down('Enter');
    await open.until('trigger', (travel) => travel > 0.1);
    await open.page.keyboard.up('Enter');
    await open.until('trigger', (travel) => travel === 0);
  });

  it('turns the clutch to its lowest setting, and the clutch then slips on a hard stop', async () => {
    const clutch = slider('Clutch');
    expect(await clutch.getAttribute('aria-valuetext')).toBe('locked, drives with all it has');
    await clutch.focus();
    await open.page.keyboard.press('Home');
    await expect.poll(() => clutch.getAttribute('aria-valuetext')).toMatch(/^setting 1, lets go at 0.8/);
    await button('Hard stop').click();
    await open.page.keyboard.down('t');
    await open.until('clutchSlip', (angle_rad) => Math.abs(angle_rad) > 1);
    await open.shows('clutch slips');
    await open.page.keyboard.up('t');
    await clutch.focus();
    await open.page.keyboard.press('End');
  });

  it('sets push and wrist by the wheel and by the sides of their drums', async () => {
    const drum = (k: number) => open.page.locator('hand-bar drum-wheel').nth(k);
    await drum(2).hover();
    await open.page.mouse.wheel(0, 100);
    await open.until('push', (force_N) => force_N === 150);
    await drum(3).click({ position: { x: 70, y: 12 } });
    await expect.poll(() => slider('Wrist').getAttribute('aria-valuetext')).toBe('firm hold on the tool');
  });

  it('holds the tool in a vice: the body no longer turns', async () => {
    await slider('Wrist').focus();
    await open.page.keyboard.press('End');
    await expect.poll(() => slider('Wrist').getAttribute('aria-valuetext')).toBe('vice hold on the tool');
    await open.page.keyboard.down('t');
    await open.until('gearTorque', (torque_Nm) => torque_Nm > 0.5);
    expect(await open.signal('bodySpeed')).toBe(0);
    await open.page.keyboard.up('t');
    await open.shows('in a vice');
  });

  it('lets the parts of the drill be reached by arrows, and tells which was chosen', async () => {
    await open.page.evaluate(() => {
      document.addEventListener('part', (e) => Object.assign(window, { part: (e as CustomEvent).detail.part }));
    });
    const pack = button('Pack');
    await pack.focus();
    await open.page.keyboard.press('End');
    await open.page.keyboard.press('ArrowUp');
    await expect.poll(() => button('Gears and clutch').evaluate((e) => e.matches(':focus'))).toBe(true);
    expect(await button('Gears and clutch').getAttribute('tabindex')).toBe('0');
    expect(await pack.getAttribute('tabindex')).toBe('-1');
    await open.page.keyboard.press('Enter');
    await expect.poll(() => open.page.evaluate(() => (window as unknown as { part?: string }).part)).toBe('gear');
  });

  it('draws every pole pair when asked to', async () => {
    await open.page.keyboard.press('Escape');
    await button('All 4 pole pairs').click();
    const magnets = await open.page.evaluate(() => {
      const drill = document.querySelector('spindle-page')?.shadowRoot?.querySelector('drill-view')?.shadowRoot;
      const norths = [...(drill?.querySelectorAll<SVGPathElement>('.north') ?? [])].filter(
        (n) => n.getClientRects().length,
      );
      return norths.map((n) => (n.getAttribute('d') ?? '').split('Z').length - 1);
    });
    expect(magnets).toEqual([4]);
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
