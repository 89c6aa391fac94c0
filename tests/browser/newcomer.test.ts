/**
 * The path of somebody who has never seen the page, by keyboard alone: press, turn, reverse, shift, stall, drive a screw in and out,
 * shift a current reading and see the ripple, rewind, take set-up and run along. Controls are reached with Tab as a person reaches
 * them; every pause ends with a sign of the page.
 *
 * Source  ratio of a planetary stage with sun in, carrier out and ring fixed: 1 + ring / sun (Willis); a shifted current channel is
 *         a line at the electrical frequency in current and torque: mdpi.com/1996-1073/18/6/1367 (review).
 */
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { openRecording, verify } from '../../src/recorder/reader.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import type { Look, Looked } from '../../worker/api.ts';
import { sourceOf } from '../recorder/rig.ts';
import { expectNear } from '../support/near.ts';
import { OpenPage } from '../support/page.ts';

/** A chuck faster than this is being driven, not merely shaken by its backlash [rad/s]. */
const TURNS_RAD_S = 5;
/** Less than what the drill still does once its controller has taken the current back, more than it needs to turn freely [N·m]. */
const STALL_NM = 1;
/** Once round the page is less than this. */
const TABS = 150;

/** The waves show this much at first [s]. */
const SIGHT_S = 0.5;

/** What the test reads beside what is shown. */
interface Insight {
  session: {
    readonly hands: object;
    readonly api: { look(ask: Look): Promise<Looked> };
    readonly record: { readonly now: Float64Array };
    readonly news?: {
      readonly faults: readonly { readonly fault: string; readonly state: string; readonly since_s: number }[];
    };
  };
}
describe('a newcomer with a keyboard', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
  });
  afterAll(async () => {
    await open?.close();
  });

  /** Expects what comes about sooner or later: on a loaded machine later. */
  const soon = <T>(read: () => T | Promise<T>) => expect.poll(read, { timeout: 20_000 });
  const press = (key: string) => open.page.keyboard.press(key);
  const type = (text: string) => open.page.keyboard.type(text);
  const news = () =>
    open.page.evaluate(() => (document.querySelector('spindle-page') as unknown as Insight).session.news);
  /** Name of the control that has the focus. */
  const focused = () =>
    open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      const label = (at as HTMLInputElement | null)?.labels?.[0];
      return (at?.getAttribute('aria-label') ?? (label ?? at)?.textContent ?? '').replace(/\s+/g, ' ').trim();
    });
  /** Goes on with Tab until a control is reached. */
  const tabTo = async (name: RegExp) => {
    const passed: string[] = [];
    for (let k = 0; k < TABS; k++) {
      await press('Tab');
      const at = await focused();
      if (name.test(at)) return;
      passed.push(at);
    }
    throw new Error(`no Tab leads to ${name}; it led to ${[...new Set(passed)].join(', ')}`);
  };
  const choose = async (name: RegExp) => {
    await tabTo(name);
    await press('Enter');
  };
  /** Puts something before the chuck, and sees that it is there. */
  const meet = async (name: string) => {
    await choose(new RegExp(`^${name}$`));
    const tile = open.page.getByRole('button', { name, exact: true });
    await soon(() => tile.getAttribute('aria-pressed')).toBe('true');
  };
  /** Squeezes for as long as it takes until something has come about. */
  const squeezeUntil = async <T>(come: () => Promise<T>): Promise<T> => {
    await open.page.keyboard.down('t');
    try {
      await open.until('trigger', (travel) => travel > 0.5);
      return await come();
    } catch (error) {
      const state = await open.page.locator('head-bar .state').textContent();
      const hands = await open.page.evaluate(() =>
        JSON.stringify((document.querySelector('spindle-page') as unknown as Insight).session.hands),
      );
      throw new Error(`${(error as Error).message}; the head says '${state}', hands are ${hands}`);
    } finally {
      await open.page.keyboard.up('t');
      await open.until('trigger', (travel) => travel === 0);
    }
  };
  /** Several signals at one instant, SI. */
  const signals = (...ids: SignalId[]) =>
    open.page.evaluate(
      (columns) => {
        const { session } = document.querySelector('spindle-page') as unknown as Insight;
        return columns.map((column) => session.record.now[column]);
      },
      ids.map((id) => SIGNAL_INDEX[id]),
    );
  /** Every sample of some signals over a stretch that has passed, SI. */
  const look = (from_s: number, to_s: number, ...channels: SignalId[]) =>
    open.page.evaluate(
      async (ask) => {
        const { session } = document.querySelector('spindle-page') as unknown as Insight;
        const { kind, data } = await session.api.look(ask);
        if (kind !== 'values') throw new Error('not every period is there');
        return data.map((values) => [...values]);
      },
      { run: 'now', channels, from_s, to_s, points: 40_000 } as const,
    );
  const stands = () => open.until('chuckSpeed', (speed_rad_s) => Math.abs(speed_rad_s) < 0.1);

  it('presses, and it turns: the demonstration gives way', async () => {
    await meet('Nothing');
    await squeezeUntil(() => open.until('chuckSpeed', (speed_rad_s) => speed_rad_s > TURNS_RAD_S));
    await open.shows('At rest');
  });

  it('reverses', async () => {
    await press('o');
    await squeezeUntil(() => open.until('chuckSpeed', (speed_rad_s) => speed_rad_s < -TURNS_RAD_S));
    await press('i');
  });

  it('shifts: the chuck turns as much slower as the teeth say', async () => {
    const { sunTeeth, ringTeeth, stagesInGear } = BENCH_18.gear;
    for (const gear of [1, 2] as const) {
      await stands();
      await press(String(gear));
      await open.until('gearEngaged', (engaged) => engaged === gear);
      const [motor, chuck] = await squeezeUntil(async () => {
        const from_s = await open.signal('time');
        const to_s = await open.until('time', (t) => t > from_s + 0.6);
        return look(to_s - 0.3, to_s, 'motorSpeed', 'chuckSpeed');
      });
      const stages = sunTeeth.slice(0, stagesInGear[gear - 1]);
      const teeth = stages.reduce((product, sun, k) => product * (1 + ringTeeth[k] / sun), 1);
      expectNear(mean(motor) / mean(chuck), teeth, {
        abs: 0.01 * teeth,
        because: 'over the stretch play and give of the gears come to some degrees of some turns',
      });
    }
  });

  it('stalls on a hard stop: torque and current without speed', async () => {
    await stands(); // a hard stop in full swing lifts the link until the controller trips, which is another story
    await meet('Hard stop');
    const [torque_Nm, current_A] = await squeezeUntil(async () => {
      await open.until('gearTorque', (torque) => torque > STALL_NM);
      await open.until('motorSpeed', (speed_rad_s) => Math.abs(speed_rad_s) < 1);
      await open.shows('legs switching');
      return signals('gearTorque', 'currentQ');
    });
    expect(torque_Nm).toBeGreaterThan(STALL_NM);
    expect(current_A).toBeGreaterThan(10);
  });

  it('drives a screw in, and out again', async () => {
    await meet('Wood screw');
    await choose(/^New screw$/);
    const before_m = await open.until('screwDepth', (depth_m) => Math.abs(depth_m) < 1e-3);
    const deep_m = await squeezeUntil(() => open.until('screwDepth', (depth_m) => depth_m > before_m + 0.015));
    await stands();
    await press('o');
    await squeezeUntil(() => open.until('screwDepth', (depth_m) => depth_m < deep_m - 0.01));
    await press('i');
  });

  it('lets another controller drive, and holds a speed with nothing in the chuck', async () => {
    await choose(/^Who drives/);
    await soon(() => open.page.locator('controller-sheet').count()).toBe(1);
    await choose(/^Built-in sensorless/);
    await soon(() => open.page.locator('head-bar .link').textContent()).toMatch(/sensorless/);
    await press('Backspace');
    await meet('Nothing');
    await tabTo(/^Trigger/);
    for (let k = 0; k < 5; k++) await press('PageUp');
    await open.until('trigger', (travel) => Math.abs(travel - 0.5) < 0.01);
    await open.until('electricalSpeed', (speed_rad_s) => speed_rad_s > 2 * Math.PI * 600);
  });

  /** Shows the chosen fault in the waves, and there the lines of the torque, by keys. */
  const spectrumOfTorque = async () => {
    await choose(/^Show these in the waves$/);
    await soon(focused).toMatch(/^Waves\./);
    await choose(/^Spectrum$/);
    await tabTo(/^Spectrum of/);
    const of = open.page.locator('wave-spectrum select');
    const options = await of.locator('option').count();
    for (let k = 0; k < options && (await of.inputValue()) !== 'airGapTorque'; k++) await press('ArrowDown');
    expect(await of.inputValue()).toBe('airGapTorque');
    await open.shows(/Electrical frequency \d/);
  };
  /** Height of the torque's line at the electrical frequency as the page shows it [N·m]; 0 where it names none. */
  const rippleShown = async () => {
    const rows = await open.page.locator('wave-spectrum tbody tr').allTextContents();
    // 744.2 Hz0.00607 N·m1 ×
    const heights = rows.map((row) => /Hz(.*)\sN·m1 ×$/.exec(row)).filter((found) => found !== null);
    return { lines: rows.length, height_Nm: heights.length > 0 ? Number(heights[0][1]) : 0 };
  };
  const chooseOffset = async () => {
    await soon(focused).toMatch(/^Search/);
    await type('offset');
    await press('Enter');
    await soon(focused).toBe('Arm');
  };
  const faults = async () => (await news())?.faults.map(({ fault, state }) => `${fault} ${state}`);

  it('arms an offset of a current channel, and sees no ripple yet', async () => {
    await press('f');
    await chooseOffset();
    await press('Enter');
    await soon(focused).toMatch(/^Fire/);
    expect(await faults()).toEqual(['shunt-offset armed']);
    await spectrumOfTorque();
    await soon(rippleShown).toEqual({ lines: expect.any(Number), height_Nm: 0 });
    expect((await rippleShown()).lines).toBeGreaterThan(2);
  });

  let fired_s = 0;

  it('fires it, and reads the ripple that the samples have', async () => {
    await choose(/^Faults$/);
    await chooseOffset();
    await choose(/^Fire/);
    await soon(focused).toMatch(/^Clear/);
    // What the page has shown until now may be some time after it.
    fired_s = (await news())?.faults[0]?.since_s ?? Number.NaN;
    await spectrumOfTorque();
    const line = open.page.getByRole('group', { name: 'Faults that are armed or active' });
    await soon(() => line.isVisible()).toBe(true); // Ahead with its pins is behind the waves
    await soon(() => line.textContent()).toMatch(/1 fault active\s*Offset of a current channel, A .*\s*Clear all/);
    await open.until('time', (t) => t > fired_s + SIGHT_S + 0.2);
    await choose(/^Freeze$/);
    await open.shows('Frozen');
    const end_s = await open.signal('time');
    const [angle, torque] = await look(end_s - SIGHT_S, end_s, 'rotorAngle', 'airGapTorque');
    const ripple_Nm = firstOrder(torque, angle);
    // The window of the page and the correlation differ by some percent while the speed is not quite even.
    await soon(async () => Math.abs((await rippleShown()).height_Nm / ripple_Nm - 1)).toBeLessThan(0.1);
  });

  it('rewinds to before it: armed only, and the ripple is gone', async () => {
    await choose(/^Rewind to/);
    const to_s = (fired_s - 0.2).toFixed(4);
    await type(to_s);
    await press('Enter');
    await open.shows(`Rewound to ${to_s} s`);
    await soon(faults).toEqual(['shunt-offset armed']);
    await soon(async () => (await rippleShown()).height_Nm).toBe(0);
  });

  it('takes the set-up along as a link', async () => {
    await choose(/^Keep$/);
    await soon(focused).toBe('Copy link');
    await press('Enter');
    await open.shows(/The link is (copied|selected)/);
    const link = await open.page.getByRole('textbox', { name: 'The link' }).inputValue();
    const [, carried = ''] = new URL(link).hash.split('.');
    expect(JSON.parse(Buffer.from(carried, 'base64url').toString())).toMatchObject({
      drill: 'bench-18',
      controller: 'sensorless',
      faults: [{ fault: 'shunt-offset', size: 2 }],
    });
  });

  it('takes what the drill did along as a file', async () => {
    await choose(/^Keep the last 9 s$/);
    await soon(() => open.page.locator('recording-list li').count()).toBe(1);
    await tabTo(/^psrec: save /);
    const [download] = await Promise.all([open.page.waitForEvent('download'), press('Enter')]);
    const recording = await openRecording(sourceOf(new Uint8Array(readFileSync(await download.path()))));
    expect(await verify(recording)).toEqual([]);
    const { header, chunks } = recording;
    expect(header).toMatchObject({ drill: 'bench-18', controller: 'builtin:sensorless' });
    const rows = chunks.reduce((sum, chunk) => sum + chunk.rows, 0);
    // Nine seconds or all that this drill has lived since its controller was chosen; a second for what is still under way.
    expect(rows * header.tick_s).toBeGreaterThan(Math.min(9, await open.signal('time')) - 1);
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});

/** Height of the line of a signal at the first order of an angle, by correlation. */
function firstOrder(values: readonly number[], angle_rad: readonly number[]): number {
  const middle = mean(values);
  const along = (wave: (angle: number) => number) =>
    2 * mean(values.map((value, k) => (value - middle) * wave(angle_rad[k])));
  return Math.hypot(along(Math.cos), along(Math.sin));
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
