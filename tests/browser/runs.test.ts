/**
 * Files in the page by keys: a file of the library is played and judged, a broken one is told with its line, a campaign is
 * cancelled and gone on with, a run is put on the bench; no barrier on the way.
 *
 * Source  no barrier: rules of axe-core for WCAG 2.2 A and AA.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { jobsOf } from '../../src/campaign/jobs.ts';
import { unseal } from '../../src/campaign/lines.ts';
import { headOf } from '../../src/cli/campaign.ts';
import { playFile } from '../../worker/play-file.ts';
import { readFile } from '../../worker/read-file.ts';
import { expectNear } from '../support/near.ts';
import { OpenPage } from '../support/page.ts';
import { serveBoard } from './board-rig.ts';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const PLACE = 'sensors/halls-swapped.yaml';
const TEXT = readFileSync(new URL(`../../scenarios/${PLACE}`, import.meta.url), 'utf8');

/** A press of 50 ms, and sixty of them: enough for a person, and a loaded machine, to cancel in between. */
const PRESS = `title: A short press
drill: bench-18
duration: 50 ms
timeline:
  - { at: 5 ms, trigger: 40 %, over: 5 ms }
checks:
  - { name: it turns, signal: chuckSpeed, take: largest, at least: 400 rpm }
`;
const SIXTY = `title: Presses
scenario: press.yaml
draw: grid
vary:
  - { place: seed, from: 1, to: 30, steps: 30, whole: true }
  - { place: chuck.gear, values: [1, 2] }
`;

/** Elements behind shadow roots, from the outside in. */
type Inside = { readonly fromShadowDom: readonly string[] };
declare const axe: {
  run(context: { include: Inside[] }): Promise<{ violations: { id: string; nodes: { html: string }[] }[] }>;
};

describe('runs by keyboard', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
  });
  afterAll(async () => {
    await open?.close();
  });

  const view = () => open.page.locator('runs-view');
  const press = (key: string) => open.page.keyboard.press(key);
  const button = (name: string | RegExp) => view().getByRole('button', { name, exact: true });
  const file = (name: string, text: string) => ({ name, mimeType: 'text/yaml', buffer: Buffer.from(text) });
  const fromDisk = (...files: ReturnType<typeof file>[]) => view().locator('input[type=file]').setInputFiles(files);
  const focused = () =>
    open.page.evaluate(() => {
      let at = document.activeElement;
      while (at?.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
      return (at?.getAttribute('aria-label') || at?.id || at?.textContent || '').trim();
    });
  const barriers = async (): Promise<string[]> => {
    await open.page.evaluate(AXE);
    return open.page.evaluate(async () => {
      const include: Inside[] = [{ fromShadowDom: ['spindle-page', 'runs-view'] }];
      const { violations } = await axe.run({ include });
      return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`);
    });
  };

  it('opens at the search, finds a file and plays it to the state that it has elsewhere', async () => {
    await open.page.getByRole('button', { name: 'Runs' }).focus();
    await press('Enter');
    await expect.poll(focused).toBe('find');
    await view().locator('.hit').first().waitFor();
    await open.page.keyboard.type('two halls swapped');
    await press('Enter');
    await expect.poll(focused).toBe('Two Halls swapped');
    await press('Enter');
    await button('Play').focus();
    await press('Enter');
    await view().locator('.verdict').waitFor();
    const read = readFile({ name: PLACE, text: TEXT });
    if (!read.ok || read.kind !== 'scenario') throw new Error('it is no scenario');
    const { ended } = await playFile(read.scenario, PLACE, {}, () => {});
    expect(await view().locator('.verdict').textContent()).toBe(
      { passed: 'Passed', failed: 'Failed' }[ended.verdict as string],
    );
    expect(await view().locator('.facts code').textContent()).toBe(ended.stateHash);
    const verdicts = await view().locator('.checks tbody td:first-child').allTextContents();
    const words = { pass: /^pass/, fail: /^FAIL$/, 'not evaluated': /^not evaluated$/ };
    expect(verdicts).toHaveLength(ended.checks.length);
    for (const [k, { verdict }] of ended.checks.entries()) expect(verdicts[k]).toMatch(words[verdict]);
    expect(await barriers()).toEqual([]);
  });

  it('saves the report and the XML of that run', async () => {
    for (const [name, ending, holds] of [
      ['Save report', '.html', '<!doctype html>'],
      ['Save JUnit', '.xml', '<testsuites>'],
    ]) {
      const [saved] = await Promise.all([open.page.waitForEvent('download'), button(name).click()]);
      expect(saved.suggestedFilename()).toBe(`halls-swapped${ending}`);
      expect(readFileSync(await saved.path(), 'utf8')).toContain(holds);
    }
  });

  it('plays it once more with another number, lays both over each other, and tells the differences', async () => {
    await view().getByLabel('Number of the drill').selectOption('winding.r_ohm');
    await view().getByLabel('Its value').fill('0.1');
    await button('Play both').click();
    await view().locator('.differences').waitFor();
    const rows = await view()
      .locator('.differences tbody tr')
      .evaluateAll((list) => list.map((row) => [...row.children].map((cell) => cell.textContent?.trim() ?? '')));
    const numberOf = (text: string) => Number.parseFloat(text.replaceAll('\u2212', '-'));
    expect(rows.some(([, own, other]) => own !== other)).toBe(true);
    for (const [name, own, other, apart] of rows) {
      if ([own, other].includes('–')) continue;
      expectNear(numberOf(apart), numberOf(other) - numberOf(own), {
        abs: 2e-3 * Math.max(1e-9, Math.abs(numberOf(own)), Math.abs(numberOf(other))),
        because: `${name}: each of the three is shown with four digits`,
      });
    }
    expect(await view().locator('figure .other').count()).toBe(await view().locator('figure').count());
    expect(await barriers()).toEqual([]);
  });

  it('shows what is wrong with a file beside its line, and loses nothing of it', async () => {
    await fromDisk(file('broken.yaml', PRESS.replace('trigger', 'triger')));
    const wrong = view().locator('li.wrong');
    await expect.poll(() => wrong.count()).toBe(1);
    expect(await wrong.textContent()).toMatch(
      /triger: 40 %.*key 'triger' is not known here; nearest is 'trigger'; allowed are/s,
    );
    expect(await view().locator('.problems').textContent()).toMatch(/line 5: timeline entry 1/);
    expect(await view().locator('ol.lines li').count()).toBe(PRESS.split('\n').length);
    expect(await barriers()).toEqual([]);
  });

  it('takes files that are dropped on it, and says of a broken one which line and key', async () => {
    const drop = async (...files: { name: string; text: string }[]) => {
      const dataTransfer = await open.page.evaluateHandle((given) => {
        const made = new DataTransfer();
        for (const { name, text } of given) made.items.add(new File([text], name));
        return made;
      }, files);
      await view().locator('section.side').dispatchEvent('drop', { dataTransfer });
    };
    await drop({ name: 'dropped.yaml', text: PRESS.replace('at least: 400 rpm', 'at least: 400 V') });
    await expect.poll(() => view().locator('.problems').textContent()).toMatch(/line 7: .*400 V/);
    expect(await button('Play').count()).toBe(0);
    await drop({ name: 'dropped.yaml', text: PRESS.replace('title: A', 'title: Dropped, a') });
    await view().getByRole('heading', { name: 'Dropped, a short press' }).waitFor();
    expect(await view().locator('.problems').count()).toBe(0);
  });

  it('plays a file with a board only when asked twice, to the state that the built-in controller reaches', async () => {
    const board = await serveBoard();
    try {
      await view().getByLabel('Driven by').selectOption('board');
      await view().getByRole('textbox', { name: 'Address' }).fill(board.address);
      await button('Play').click();
      await expect.poll(focused).toBe('It is off: play now');
      await view().getByText('Disconnect the power stage from a real motor and pack.').waitFor();
      expect(board.pages).toBe(0);
      expect(await barriers()).toEqual([]);
      await press('Enter');
      await view().locator('.verdict').waitFor();
      expect(await view().locator('.facts').textContent()).toMatch(/test-board, lock-step/);
      const read = readFile({ name: 'x', text: PRESS });
      if (!read.ok || read.kind !== 'scenario') throw new Error('it is no scenario');
      const { ended } = await playFile(read.scenario, 'x', {}, () => {});
      expect(await view().locator('.facts code').textContent()).toBe(ended.stateHash);
      await expect.poll(() => board.pages).toBe(0);
    } finally {
      await board.close();
    }
    await button('Play').click();
    await press('Enter');
    await expect.poll(() => view().locator('.problem').last().textContent()).toContain(board.address);
  });

  it('runs a campaign, cancels it, goes on, and moves in its matrix by arrows', async () => {
    await fromDisk(file('presses.yaml', SIXTY), file('press.yaml', PRESS));
    await button('Run').click();
    await expect.poll(() => view().locator('.stands').textContent()).toMatch(/^[1-9]/);
    await button('Cancel').click();
    await button('Go on').waitFor();
    const kept = Number.parseInt((await view().locator('.stands').textContent()) ?? '', 10);
    expect(kept).toBeGreaterThan(0);
    expect(kept).toBeLessThan(60);
    await button('Go on').click();
    await view().getByText('All points were run.').waitFor();
    expect(await view().locator('.stands').textContent()).toBe('60 of 60');
    const [saved] = await Promise.all([open.page.waitForEvent('download'), button('Save result lines').click()]);
    const lines = readFileSync(await saved.path(), 'utf8')
      .trimEnd()
      .split('\n')
      .map(unseal);
    expect(lines).toHaveLength(62);
    expect(lines[61]).toEqual({ end: true, runs: 60 });
    const read = readFile({ name: 'presses.yaml', text: SIXTY }, [{ name: 'press.yaml', text: PRESS }]);
    if (!read.ok || read.kind !== 'campaign') throw new Error('it is no campaign');
    // What the command line heads its own file with: merge takes what agrees with it.
    expect(lines[0]).toEqual(headOf(read.plan, jobsOf(read.plan), { file: '', controller: undefined }, undefined));
    expect(await view().locator('.cell').count()).toBe(60);
    await view().locator('.cell[tabindex="0"]').focus();
    const first = await focused();
    await press('ArrowDown');
    expect(await focused()).not.toBe(first);
    expect(await focused()).toMatch(/^2, 1, fail, 1 run, −/);
    await press('Enter');
    await view().locator('.points').waitFor();
    expect(await barriers()).toEqual([]);
  });

  it('opens a failed cell on the bench, frozen before its moment of failure', async () => {
    await button(/^Open at the moment of failure/).click();
    await view().waitFor({ state: 'detached' });
    await expect.poll(() => open.head('running')).toBe(0);
    const at_s = await open.signal('time');
    expect(at_s).toBeLessThanOrEqual(0.05);
    expect(open.problems).toEqual([]);
  });
});
