/** What Ahead says of a scenario that drives: what comes next, how much is left, when it is over. By hand from the timeline. */
import { describe, expect, it } from 'vitest';
import { planAt, planWords } from '../../components/ahead-list/plan.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';

const SCENARIO: Scenario = {
  title: 'Squeeze twice',
  drill: 'bench-18',
  controller: 'hall-six-step',
  seed: 1,
  step_s: 1e-6,
  duration_s: 2,
  chuck: {},
  timeline: [
    { at_s: 0.1, over_s: 0, trigger: 0.5 },
    { at_s: 0.9, over_s: 0, trigger: 0 },
    { at_s: 1.2, over_s: 0, trigger: 0.3 },
  ],
  checks: [],
};

describe('plan of a scenario', () => {
  it('names the next moment that has not come, and how many there are', () => {
    expect(planAt(SCENARIO, 0.5)).toMatchObject({ title: 'Squeeze twice', next_s: 0.9, left: 2, over: false });
    expect(planWords(planAt(SCENARIO, 0.5))).toMatch(/next at 0\.900\u00a0s, 2 times more; it ends at 2\.000\u00a0s/);
  });

  it('counts a moment as past when it is there', () => {
    expect(planAt(SCENARIO, 0.9)).toMatchObject({ next_s: 1.2, left: 1 });
    expect(planWords(planAt(SCENARIO, 0.9))).toMatch(/1\.200\u00a0s, for the last time/);
  });

  it('is done after the last, and over at its end', () => {
    expect(planWords(planAt(SCENARIO, 1.5))).toMatch(/hands are done; it ends at 2\.000/);
    expect(planAt(SCENARIO, 2)).toMatchObject({ next_s: undefined, left: 0, over: true });
    expect(planWords(planAt(SCENARIO, 2))).toMatch(/You drive by hand/);
  });
});
