/**
 * The listings of TIME.md: they compile under the flags of the kit and do what the page says, over lost ticks and the wrap.
 *
 * Filter  1 - (1 - a)^n, geometric series. Heat  P R (1 - e^(-t / RC)), one node; both by hand.
 */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { compileToWasm, wasiCommand } from '../support/c-build.ts';
import { expectNear } from '../support/near.ts';

const page = readFileSync(new URL('../../src/board/TIME.md', import.meta.url), 'utf8');
const listings = [...page.matchAll(/```c\n([\s\S]*?)```/g)].map(([, text]) => text);
const said: Record<string, number[]> = {};

beforeAll(async () => {
  const probe = readFileSync(new URL('./time-probe.c', import.meta.url), 'utf8');
  const path = await compileToWasm('time-page', { 'page.c': listings.join('\n') + probe }, ['page.c']);
  const { status, stdout } = spawnSync(wasiCommand(path), { shell: true });
  expect(status).toBe(0);
  for (const line of stdout.toString().trim().split('\n')) {
    const [name, ...values] = line.split(' ');
    said[name] = values.map(Number);
  }
});

describe('listings of TIME.md', () => {
  it('there is one for each subject of the page', () => {
    const subjects = ['primitive', 'Watchdogs', 'Ramps', 'Filters', 'Debouncers', 'Thermal', 'Waiting'];
    for (const subject of subjects) {
      const section = page.split('\n## ').find((each) => each.split('\n')[0].includes(subject));
      expect(section, subject).toContain('```c');
    }
  });

  it('ticks: right across the wrap and across a gap', () => expect(said.clock).toEqual([1, 1, 5, 1]));

  it('the watchdog of the processor is fed whether bytes come or not', () => expect(said.loop).toEqual([10, 3]));

  it('the watch over samples lets two go by and opens at the third', () => expect(said.missed).toEqual([0, 1]));

  it('a ramp takes its time, with lost ticks and without, and stops at its target', () => {
    const because = '20 000 float32 sums up to 50, each off by 2e-6 at most';
    expectNear(said.ramp[0], 50, { abs: 0.04, because });
    expectNear(said.ramp[1], 50, { abs: 0.01, because: '5000 such sums' });
    expect(said.ramp[2]).toBe(0);
  });

  it('a filter comes to the same over a short gap and starts anew after a long one', () => {
    expectNear(said.filter[0], 1 - 0.9 ** 8, { abs: 1e-6, because: 'eight float32 steps' });
    expect(said.filter.slice(1)).toEqual([1, 0, 7]);
  });

  it('a debouncer waits for 100 ticks without a bounce, lost ones counted', () => {
    // Tick 50 is the first of the level that stands; ticks 49 and 50 both show it.
    expect(said.debounced).toEqual([148, 1, 0]);
  });

  it('a winding warms as one node does, however the ticks are cut', () => {
    const tau_s = 25 * 0.6;
    const expected = 96 * 0.6 * (1 - Math.exp(-15 / tau_s));
    const because = 'steps of 10 ms of 15 s: half of their ratio of the slope, and float32';
    expectNear(said.heat[0], expected, { abs: expected * 7e-4, because });
    expectNear(said.heat[1], said.heat[0], { abs: 1e-5, because: 'the same 1500 steps' });
  });

  it('what was put off happens once, in its tick or in the first after a gap', () => {
    expect(said.later).toEqual([10, 1, 1, 0]);
  });
});
