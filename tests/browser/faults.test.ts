/**
 * A fault in the page by keys alone: found, armed, fired, seen in the numbers, cleared; and no barrier on the way.
 *
 * Source  an offset D of one of three current channels is a vector of 2/3 D that stands in the stator (Clarke), so that what is
 *         read differs from what is true by a line at the electrical frequency in d and q, whatever the current loop does; the
 *         loop takes it for current, and true current and torque get that line: mdpi.com/1996-1073/18/6/1367 (review).
 *         No barrier: rules of axe-core for WCAG 2.2 A and AA.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { DrillApi, Looked } from '../../worker/api.ts';
import { expectNear } from '../support/near.ts';
import { OpenPage } from '../support/page.ts';
import { type ServedBoard, serveBoard } from './board-rig.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
/** Usual size of the fault [A]. */
const OFFSET_A = 2;
/** Span over which a line is taken [s]: some 150 electrical turns. */
const SPAN_S = 0.2;

interface Insight {
  session: {
    readonly news?: { readonly faults: readonly { readonly state: string; readonly fault: string }[] };
    readonly record: { readonly now: Float64Array };
    useBuiltIn(name: string): Promise<void>;
    connect(place: { kind: 'socket'; address: string }): Promise<{ ok: boolean }>;
    setHands(hands: object): void;
    readonly api: { look(ask: Parameters<DrillApi['look']>[0]): Promise<Looked> };
  };
}
/** Elements behind shadow roots, from the outside in. */
type Inside = { readonly fromShadowDom: readonly string[] };
declare const axe: {
  run(context: { include: Inside[] }): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }>;
};

type Line = readonly [re: number, im: number];

describe('faults by keyboard', () => {
  let open: OpenPage;
  let board: ServedBoard;
  beforeAll(async () => {
    [open, board] = await Promise.all([OpenPage.open({ noGl: true }), serveBoard()]);
    await open.page.evaluate(async () => {
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      await session.useBuiltIn('sensorless');
      session.setHands({ meets: 0, trigger: 0.5 });
    });
    await open.until('electricalSpeed', (speed) => speed > 2 * Math.PI * 600);
  });
  afterAll(async () => {
    await open?.close();
    await board?.close();
  });

  const press = (key: string) => open.page.keyboard.press(key);
  /** Name of the control that has the focus. */
  const focused = () =>
    open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      return (at?.getAttribute('aria-label') || at?.id || at?.textContent || '').trim();
    });
  const states = () =>
    open.page.evaluate(
      () =>
        (document.querySelector('spindle-page') as unknown as Insight).session.news?.faults.map(
          ({ fault, state }) => `${fault} ${state}`,
        ) ?? [],
    );
  const alert = () => open.page.locator('fault-sheet').getByRole('alert').textContent();

  /** First order of the electrical frequency in torque [N·m], true q, and what is read on q beyond it [A]. */
  const lines = async (): Promise<{ torque: number; q: number; error: Line }> => {
    const channels = ['rotorAngle', 'airGapTorque', 'currentQ', 'sensedA', 'sensedB', 'sensedC'] as const;
    const from_s = await open.signal('time');
    await open.until('time', (t) => t > from_s + SPAN_S + 0.05);
    const data = await open.page.evaluate(
      async ([names, from, to]) => {
        const { session } = document.querySelector('spindle-page') as unknown as Insight;
        const looked = await session.api.look({ run: 'now', channels: names, from_s: from, to_s: to, points: 10_000 });
        if (looked.kind !== 'values') throw new Error('not every period is there');
        return looked.data.map((each) => [...each]);
      },
      [channels, from_s, from_s + SPAN_S] as const,
    );
    const [angle, torque, q, a, b, c] = data;
    const error = q.map((value, k) => {
      const alpha = (2 * a[k] - b[k] - c[k]) / 3;
      const beta = (b[k] - c[k]) / Math.sqrt(3);
      return beta * Math.cos(angle[k]) - alpha * Math.sin(angle[k]) - value;
    });
    const size = ([re, im]: Line) => Math.hypot(re, im);
    return { torque: size(line(torque, angle)), q: size(line(q, angle)), error: line(error, angle) };
  };

  /** Controls and texts of sheet, pins and state that axe finds fault with. */
  const barriers = async (): Promise<string[]> => {
    await open.page.evaluate(AXE);
    return open.page.evaluate(async () => {
      const within = (...path: string[]): Inside => ({ fromShadowDom: ['spindle-page', ...path] });
      const include = [within('fault-sheet'), within('ahead-list'), within('head-bar', '.state')];
      const { violations } = await axe.run({ include });
      return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`);
    });
  };

  it('opens with F, at the search', async () => {
    await press('f');
    await expect.poll(focused).toBe('query');
    expect(await barriers()).toEqual([]);
  });

  it('refuses a size that is out of range, and text, in words', async () => {
    await open.page.keyboard.type('offset');
    await press('Enter');
    await expect.poll(focused).toBe('Arm');
    await open.page.locator('fault-sheet').getByLabel('Size').fill('99');
    await press('Enter');
    await open.page.locator('fault-sheet').getByRole('button', { name: 'Arm', exact: true }).focus();
    await press('Enter');
    await expect.poll(alert).toMatch(/size is 99.A; allowed is .40.A to 40.A/);
    await open.page.locator('fault-sheet').getByLabel('Size').fill('much');
    await open.page.locator('fault-sheet').getByRole('button', { name: 'Arm', exact: true }).focus();
    await press('Enter');
    await expect.poll(alert).toMatch(/'much' is no number/);
    expect(await states()).toEqual([]);
    await open.page.locator('fault-sheet').getByLabel('Size').fill(String(OFFSET_A));
    await open.page.locator('fault-sheet').getByRole('button', { name: 'Arm', exact: true }).focus();
  });

  it('arms without effect, fires with the effect that the books say, and heals when it is cleared', async () => {
    const whole = await lines();
    await press('Enter');
    await expect.poll(focused).toBe('Fire: Offset of a current channel, A');
    expect(await states()).toEqual(['shunt-offset armed']);
    await open.shows('1 fault armed');
    const armed = await lines();
    expectNear(armed.torque, whole.torque, {
      abs: 5e-4,
      because: 'a whole drive has no line; what there is, is noise',
    });
    await press('Enter');
    await expect.poll(states).toEqual(['shunt-offset active']);
    await expect.poll(focused).toBe('Clear: Offset of a current channel, A');
    const active = await lines();
    const vector_A = Math.hypot(active.error[0] - whole.error[0], active.error[1] - whole.error[1]);
    expectNear(vector_A, (2 / 3) * OFFSET_A, { abs: 0.05, because: 'rounding of three channels to counts of 0.08 A' });
    expect(active.q).toBeGreaterThan(5 * whole.q);
    expect(active.torque).toBeGreaterThan(5 * whole.torque);
    expect(await barriers()).toEqual([]);
    await press('Enter');
    await expect.poll(states).toEqual([]);
    const healed = await lines();
    expectNear(Math.hypot(healed.error[0] - whole.error[0], healed.error[1] - whole.error[1]), 0, {
      abs: 0.05,
      because: 'rounding of three channels to counts of 0.08 A',
    });
  });

  it('keeps pins inside Ahead on a projector, however many there are', async () => {
    await open.page.setViewportSize({ width: 1024, height: 768 });
    for (let k = 0; k < 6; k++) {
      await open.page.locator('fault-sheet').getByRole('button', { name: 'Arm', exact: true }).press('Enter');
      await expect.poll(async () => (await states()).length).toBe(k + 1);
    }
    const out = () =>
      open.page.evaluate(() => {
        const ahead = document.querySelector('spindle-page')?.shadowRoot?.querySelector('ahead-list');
        const frame = ahead?.getBoundingClientRect();
        const inner = [...(ahead?.shadowRoot?.querySelectorAll('.fault, .fault button') ?? [])];
        const pins = ahead?.shadowRoot?.querySelector('.pins');
        const wide = inner.filter((each) => each.getBoundingClientRect().right > (frame?.right ?? 0) + 0.5).length;
        return {
          count: inner.length,
          wide,
          scrolls: pins !== null && pins !== undefined && getComputedStyle(pins).overflowY,
        };
      });
    await expect.poll(out).toEqual({ count: 6 * 3, wide: 0, scrolls: 'auto' });
    const ahead = open.page.locator('ahead-list');
    await ahead.getByRole('button', { name: 'Fire: Offset of a current channel, A' }).first().press('Enter');
    await expect.poll(focused).toBe('Clear: Offset of a current channel, A');
    await press('Enter');
    await expect.poll(async () => (await states()).length).toBe(5);
    await ahead.getByRole('button', { name: 'Clear all' }).press('Enter');
    await expect.poll(states).toEqual([]);
    await open.page.setViewportSize({ width: 1366, height: 768 });
  });

  it('asks twice where a board drives, and says the caution', async () => {
    await open.page.evaluate(async (address) => {
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      await session.connect({ kind: 'socket', address });
    }, board.address);
    const sheet = open.page.locator('fault-sheet');
    await sheet.getByText('Disconnect the power stage').waitFor();
    await sheet.getByRole('button', { name: 'Arm', exact: true }).press('Enter');
    await expect.poll(focused).toBe('The power stage is off: arm now');
    expect(await states()).toEqual([]);
    await press('Enter');
    await expect.poll(states).toEqual(['shunt-offset armed']);
    await expect.poll(focused).toBe('Fire: Offset of a current channel, A');
    await press('Enter');
    await expect.poll(states).toEqual(['shunt-offset active']);
  });

  it('shows the faults of the part that was chosen, by F too, and the signals of one in the waves', async () => {
    await press('Escape');
    const part = open.page.locator('drill-view').getByRole('button', { name: 'Pack', exact: true });
    const heading = open.page.getByRole('heading', { name: 'Faults: pack' });
    await part.press('Enter');
    await heading.waitFor();
    await open.page
      .locator('fault-sheet')
      .getByRole('button', { name: /^Close/ })
      .press('Enter');
    await heading.waitFor({ state: 'detached' });
    await part.focus();
    await press('f');
    await heading.waitFor();
    await expect.poll(focused).toBe('query');
    await open.page.keyboard.type('terminals');
    await press('Enter');
    await open.page.locator('fault-sheet').getByRole('button', { name: 'Show these in the waves' }).press('Enter');
    const picked = () =>
      open.page.evaluate(() => {
        const bench = document.querySelector('spindle-page')?.shadowRoot?.querySelector('wave-bench');
        return (bench as unknown as { desk: { picked: string[] } } | undefined)?.desk.picked;
      });
    await expect.poll(picked).toEqual(['packVoltage', 'link', 'packCurrent']);
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});

/** First order of a signal over an angle, by correlation. */
function line(values: readonly number[], angle_rad: readonly number[]): Line {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  let re = 0;
  let im = 0;
  values.forEach((value, k) => {
    re += ((value - mean) * Math.cos(angle_rad[k]) * 2) / values.length;
    im += ((value - mean) * Math.sin(angle_rad[k]) * 2) / values.length;
  });
  return [re, im];
}
