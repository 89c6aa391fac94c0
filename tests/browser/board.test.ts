/** A board drives the page: chosen by keys, armed by two presses, stopped at any moment, lost, and back again. */
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { OpenPage } from '../support/page.ts';
import { type ServedBoard, type SomeBoard, serveBoard } from './board-rig.ts';

/** A chuck faster than this is being driven, not merely shaken by its backlash [rad/s]. */
const TURNS_RAD_S = 5;
/** A board that is slower than a person waits, and quicker than the link's patience of 2 s [ms]. */
const SLOW_MS = 1600;

describe('a board behind a WebSocket', () => {
  const nature: SomeBoard & { slow_ms?: number } = { note: 'offset of leg B is\u0007 9 counts' };
  let board: ServedBoard;
  let open: OpenPage;
  beforeAll(async () => {
    board = await serveBoard(nature);
    open = await OpenPage.open({ noGl: true });
    await open.page.keyboard.press('Escape'); // ends the demonstration
  });
  afterAll(async () => {
    await open?.close();
    await board?.close();
  });
  beforeEach(async () => {
    nature.slow_ms = 0;
    await open.page.keyboard.up('t');
  });
  const button = (name: string | RegExp) => open.page.getByRole('button', { name, exact: true });
  const sheet = () => open.page.locator('controller-sheet');
  const row = (name: string | RegExp) => sheet().getByRole('row', { name }).locator('td').first();
  const answered = async () => Number(await row('Answered so far').textContent());
  /** Name of the control that has the focus. */
  const focused = () =>
    open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      return (at?.getAttribute('aria-label') ?? at?.textContent ?? '').trim();
    });
  const press = async (name: string, key = 'Enter') => {
    await button(name).focus();
    await open.page.keyboard.press(key);
  };

  it('is chosen from the head where the controller is named, by keys alone', async () => {
    await button(/^Who drives: /).focus();
    await open.page.keyboard.press('Enter');
    await expect.poll(focused).toBe('Built-in six-step, three Halls');
    await open.shows(/In-process\. [01]\.\d\d of life/);
    await open.shows('Disconnect the power stage from a real motor and pack. The board will switch its outputs.');
    await sheet()
      .getByLabel(/WebSocket/)
      .fill(board.address);
    await open.page.keyboard.press('Enter');
    await open.shows('Connected, not armed');
  });

  it('introduces itself: name, number, firmware, its note made fit to be shown', async () => {
    await expect.poll(() => row('Board').textContent()).toBe('test-board');
    expect(await row('Number').textContent()).toBe('number-1');
    expect(await row('Firmware').textContent()).toBe('build-a');
    // What the six-step controller declares: it runs on any board with three shunts and three Halls, and reads no more.
    expect(await row('Shunts').textContent()).toBe('3, in legs A, B, C');
    expect(await row('Hall sensors').textContent()).toBe('three');
    expect(await row('Motion of the tool').textContent()).toMatch(
      /^(not read|turning|acceleration|turning and acceleration)$/,
    );
    expect(await row('PWM').textContent()).toBe('20 kHz, one update a period');
    expect(await row('Its processor').textContent()).toBe('not asked now');
    await sheet().getByText('offset of leg B is 9 counts').waitFor();
    expect(await sheet().getByRole('listitem').filter({ hasText: 'offset' }).textContent()).toMatch(/^Warning: /);
  });

  it('is not reached by the trigger before it is armed, and arming asks twice', async () => {
    await open.page.getByRole('slider', { name: /Trigger not armed/ }).waitFor();
    await open.page.keyboard.down('t');
    await open.page.waitForTimeout(300);
    await open.page.keyboard.up('t');
    expect(await open.signal('trigger')).toBe(0);
    await press('Arm');
    await expect.poll(focused).toBe('It is off: arm now');
    expect(await open.head('armed')).toBe(0);
    await press('Not yet');
    await press('Arm');
    await press('It is off: arm now');
    await expect.poll(() => open.head('armed')).toBe(1);
    expect(await answered()).toBe(0);
  });

  it('turns the chuck with the trigger, and its link is shown in figures', async () => {
    await button('Nothing').click();
    await open.page.keyboard.down('t');
    await open.until('chuckSpeed', (speed_rad_s) => speed_rad_s > TURNS_RAD_S);
    await open.shows(/Lock-step\. 0\.\d+ of life, slower than life/);
    await open.shows(/One second of the drill takes [\d.]+\s*s: slower than life/);
    // How many is up to the machine and what else it does; that they come and are counted is not.
    await expect
      .poll(async () => Number(await row('Exchanges a second').textContent()), { timeout: 20_000 })
      .toBeGreaterThan(1);
    expect(await row('Round trip').textContent()).toMatch(/^[\d.]+ (µs|ms), longest [\d.]+ (µs|ms|s)$/);
    // 125 counts of 100 ns, of a period of 50 µs at 20 kHz.
    expect(await row('Its processor').textContent()).toBe('25 % of 50 µs, at most 25 %');
    const speed = sheet()
      .getByRole('row', { name: /motor speed/ })
      .locator('td');
    await expect.poll(async () => Number(await speed.first().textContent())).toBeGreaterThan(TURNS_RAD_S);
    expect(await speed.last().textContent()).toBe('rad/s');
    for (const count of ['lost', 'late', 'repeated', 'dropped', 'for another tick']) {
      expect(
        await sheet()
          .getByRole('listitem')
          .filter({ hasText: new RegExp(`^${count}\\d`) })
          .textContent(),
      ).toBe(`${count}0`);
    }
  });

  it('loses no virtual time, however slow it is', async () => {
    expect(await open.head('ratio')).toBeLessThan(1);
    expect(await open.head('lost_s')).toBe(0);
  });

  it('is stopped while it drives, and the next squeeze goes on', async () => {
    await open.page.keyboard.press('Escape');
    await open.until('gates', (gates) => gates === 0);
    await open.page.keyboard.up('t');
    await open.page.keyboard.down('t');
    await open.until('gates', (gates) => gates !== 0);
    await open.page.keyboard.up('t');
    await open.until('trigger', (travel) => travel === 0);
  });

  it('is stopped in a moment while its answer is waited for', async () => {
    await open.page.keyboard.down('t');
    await open.until('gates', (gates) => gates !== 0);
    nature.slow_ms = SLOW_MS;
    await open.page.waitForTimeout(200); // the next frame is out, and will be for long
    const took_ms = await open.page.evaluate(async ({ gates, trigger }) => {
      interface Insight {
        session: { stop(): void; record: { now: Float64Array; headValue(name: string): number } };
      }
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      const begin_ms = performance.now();
      session.stop();
      const { record } = session;
      const stands = () => record.headValue('stopped') === 1 && record.now[gates] === 0 && record.now[trigger] === 0;
      while (!stands() && performance.now() - begin_ms < 5000) {
        await new Promise((turn) => setTimeout(turn, 1));
      }
      return performance.now() - begin_ms;
    }, SIGNAL_INDEX);
    console.log(`Stop was back on the page after ${took_ms.toFixed(1)} ms`);
    // Some milliseconds on an idle machine; the rest is for a page that draws while others use its cores. A Stop that
    // waited for the next news of the worker would take 200 ms, one that waited for the board the rest of its time.
    expect(took_ms).toBeLessThan(150);
    await open.page.keyboard.up('t');
  });

  it('is lost in words with all legs open, and comes back as the same board, not armed', async () => {
    await sheet()
      .getByRole('button', { name: /^Close/ })
      .click();
    await open.page.keyboard.down('t');
    await open.until('gates', (gates) => gates !== 0);
    board.cut();
    await open.shows('Controller lost');
    await open.shows(
      /Lost at [\d.]+ s\. ws:\/\/127\.0\.0\.1:\d+\/: the connection broke without a farewell.*after \d+ answers/,
    );
    await open.shows(/All six switches were opened at once/);
    await open.until('gates', (gates) => gates === 0);
    const before_s = await open.signal('time');
    await open.until('time', (t) => t > before_s + 0.05); // the drill coasts
    await open.page.keyboard.up('t');
    await button('Connect again').click();
    await expect.poll(() => open.head('gone')).toBe(0);
    await button(/^Who drives: /).click();
    await open.shows(/The same board again, with the same firmware/);
    expect(await open.head('armed')).toBe(0);
    expect(await open.head('gone')).toBe(0);
  });

  it('is told from one with other firmware, and from another board', async () => {
    const second = await serveBoard({ hello: { firmware: 'build-b' } });
    const third = await serveBoard({ hello: { uid: 'number-2' } });
    try {
      for (const [at, words] of [
        [second, /with other firmware than before \(build-a\)/],
        [third, /This is another board than before/],
      ] as const) {
        await sheet().getByText('Let another one drive').click();
        await sheet()
          .getByLabel(/WebSocket/)
          .fill(at.address);
        await button('Connect').click();
        await open.shows(words);
      }
      await expect.poll(() => board.pages).toBe(0);
    } finally {
      await second.close();
      await third.close();
    }
  });

  it('gives way to a built-in controller, which needs no arming', async () => {
    await button('Built-in six-step, three Halls').click();
    await open.shows(/In-process\. [01]\.\d\d of life/);
    await open.page.keyboard.down('t');
    await open.until('chuckSpeed', (speed_rad_s) => speed_rad_s > TURNS_RAD_S);
    await open.page.keyboard.up('t');
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
