/**
 * The same timeline with the same built-in controller gives the same plant vector, bit for bit, here in Node and in the
 * page's worker in Chromium. No tolerance: the step uses only operations that IEEE 754 rounds correctly.
 */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { HashSpec } from '../../worker/api.ts';
import { hashRun } from '../../worker/timeline.ts';
import { OpenPage } from '../support/page.ts';

const SEAT: HashSpec = {
  drill: 'bench-18',
  controller: 'hall-six-step',
  seed: 7,
  span_s: 1.2,
  timeline: [
    { at_s: 0, hands: { direction: 1, gear: 2, meets: 1 } },
    { at_s: 0.02, hands: { trigger: 0.8 } },
    { at_s: 0.5, hands: { grip_Nm: 3 } },
    { at_s: 0.6, hands: { grip_Nm: 0, trigger: 1 } },
    { at_s: 0.95, hands: { trigger: 0 } },
    { at_s: 1.05, hands: { direction: -1, trigger: 0.5 } },
  ],
};

describe('state hash', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
  });
  afterAll(async () => {
    await open?.close();
  });

  it('is the same in Node and in the worker of the browser', async () => {
    const node = hashRun(SEAT);
    expect(node.ticks).toBe(24_000);
    expect(node.hash).toMatch(/^[0-9a-f]{16}$/);
    expect(await open.hashInWorker(SEAT)).toEqual(node);
  });

  it('differs when a hand moves one PWM period later', () => {
    const short = { ...SEAT, span_s: 0.1 };
    const later = { ...short, timeline: short.timeline.map((e) => ({ ...e, at_s: e.at_s + 50e-6 })) };
    expect(hashRun(later).hash).not.toBe(hashRun(short).hash);
  });
});
