/** A lesson in the page by keys alone, from its cover to its end: what it sets it says, and what it took it gives back. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { START_KICK } from '../../components/lessons/start-kick.ts';
import { OpenPage } from '../support/page.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

interface Checker {
  axe: {
    run(context: { include: { fromShadowDom: string[] }[] }): Promise<{
      violations: { id: string; nodes: { html: string }[] }[];
    }>;
  };
}

/** Expects what comes about sooner or later: on a loaded machine later. */
const soon = <T>(read: () => T | Promise<T>) => expect.poll(read, { timeout: 20_000 });

describe('a lesson', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    await open.page.setViewportSize({ width: 1024, height: 768 });
  });
  afterAll(async () => {
    await open?.close();
  });
  const view = () => open.page.locator('lesson-view');
  const press = (key: string) => open.page.keyboard.press(key);
  const stands = () => view().getByText('Time stands.').waitFor();
  const focused = () =>
    open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      return (at?.textContent ?? '').trim();
    });
  /** What axe finds fault with in the lesson. */
  const axe = async (): Promise<string[]> => {
    await open.page.evaluate(AXE);
    return open.page.evaluate(async () => {
      const host = window as unknown as Checker;
      const include = [{ fromShadowDom: ['spindle-page', 'lesson-view'] }];
      const { violations } = await host.axe.run({ include });
      return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`);
    });
  };
  const lined = () =>
    view()
      .locator('lesson-trace path.trace')
      .evaluateAll((all) => all.map((path) => (path.getAttribute('d') ?? '').length));

  it('opens from the head, names the cautions, and takes the focus', async () => {
    await open.page.getByRole('button', { name: '1/10, a tenth of life' }).click();
    await open.page.getByRole('button', { name: 'Lesson', exact: true }).focus();
    await press('Enter');
    await soon(focused).toContain(START_KICK.title);
    await press('Enter');
    await view()
      .locator('.caution')
      .getByText(/proves nothing about the safety of a real tool/)
      .waitFor();
    await view()
      .locator('.caution')
      .getByText(/product standard/)
      .waitFor();
    await soon(focused).toBe('Begin');
    expect(await axe()).toEqual([]);
  });

  it('plays a step on the drill beside it, stands, and asks', async () => {
    await press('Enter');
    await view().getByText('step 1 of 5').waitFor();
    await stands();
    expect(await open.head('running')).toBe(0);
    expect(await open.head('pace')).toBe(0.01);
    await soon(() => open.page.locator('head-bar .link').textContent()).toMatch(/of life, pace 1\/100\./);
    const ringed = open.page.locator('drill-view .parts .named');
    expect(await ringed.textContent()).toBe('Chuck and screw');
    // What the node test measured of the same bits: the tool turns against the chuck.
    const cells = await view().locator('table .number').allTextContents();
    expect(cells[0]).toMatch(/^2\.\d+\u00a0N·m$/);
    expect(cells[1]).toMatch(/^\u22120\.0\d+°$/);
    expect((await lined()).every((length) => length > 100)).toBe(true);
    await view()
      .getByText(/This step sets: .*pace 1\/100 of life/)
      .waitFor();
  });

  it('says where to look for every answer, and never that one does not hold', async () => {
    for (const [k, key] of ['a', 'b', 'c'].entries()) {
      await press(key);
      await view().getByText(START_KICK.steps[0].answers[k].look).waitFor();
    }
    expect(await axe()).toEqual([]);
  });

  it('shows a step again, goes on, and goes back to the start, each with one key', async () => {
    await press('s');
    await view().getByText('The bench is being made ready.').waitFor();
    await press('n');
    await view().getByText('step 2 of 5').waitFor();
    await press('r');
    await view().getByText('step 1 of 5').waitFor();
    await stands();
    expect(await view().locator('table .number').allTextContents()).toHaveLength(2);
  });

  it('hides the truth until it is answered', async () => {
    for (const k of [2, 3, 4, 5]) {
      await press('n');
      await view().getByText(`step ${k} of 5`).waitFor();
    }
    await stands();
    expect(await open.page.locator('drill-view[veiled]').count()).toBe(1);
    const beside = async () => (await open.page.locator('drill-view .readout').allTextContents()).join(' ');
    const told = /\d\s*rpm|\d\s*N·m|i [\d.]+ A|ψ \d|drawn turning|standing/;
    await soon(beside).toMatch(/speed hidden.*torque hidden/s);
    expect(await beside()).not.toMatch(told);
    const seen = () => open.page.locator('drill-view svg[role=img]').first().getAttribute('aria-label');
    await soon(seen).toMatch(/The truth is hidden/);
    expect(await lined()).toHaveLength(1);
    expect(await view().locator('table').count()).toBe(0);
    await press('b');
    await soon(() => open.page.locator('drill-view[veiled]').count()).toBe(0);
    await soon(async () => (await lined()).length).toBe(2);
    await soon(beside).toMatch(told);
    expect(await axe()).toEqual([]);
  });

  it('gives back pace and controller at its end, and time goes on', async () => {
    await press('n');
    await view()
      .getByText(/Given back: Built-in six-step, three Halls, 1\/10 of life/)
      .waitFor();
    await soon(() => open.head('running')).toBe(1);
    await soon(() => open.head('pace')).toBe(0.1);
    await soon(() => open.signal('trigger')).toBe(0);
    await view().getByRole('button', { name: /Close/ }).focus();
    await press('Enter');
    await soon(() => view().count()).toBe(0);
    await soon(focused).toBe('Lesson');
    expect(await open.page.locator('time-rail').isVisible()).toBe(true);
  });

  it('gives back what it took when it is left on the way with Escape', async () => {
    await press('Enter');
    await soon(focused).toContain(START_KICK.title);
    await press('Enter');
    await soon(focused).toBe('Begin');
    await press('Enter');
    await view().getByText('step 1 of 5').waitFor();
    await press('Escape');
    await soon(() => view().count()).toBe(0);
    await soon(() => open.head('pace')).toBe(0.1);
    await soon(() => open.head('running')).toBe(1);
    await soon(() => open.signal('trigger')).toBe(0);
  });

  it('has a worksheet for print: all its questions, and nothing of the page around it', async () => {
    await press('Enter');
    await soon(focused).toContain(START_KICK.title);
    await press('Enter');
    await soon(focused).toBe('Begin');
    await open.page.emulateMedia({ media: 'print' });
    const sheet = view().locator('.worksheet');
    for (const { ask } of START_KICK.steps) expect(await sheet.getByText(ask, { exact: true }).isVisible()).toBe(true);
    for (const other of ['head-bar', 'hand-bar', 'drill-view', 'lesson-view .body'])
      expect([other, await open.page.locator(other).isVisible()]).toEqual([other, false]);
    await open.page.emulateMedia({ media: 'screen' });
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
