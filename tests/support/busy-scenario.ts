/** Keeps the worker from the bench for far longer than is caught up: two seconds of the drill, in one go. */
import type { Scenario } from '../../src/scenario/scenario.ts';

export const BUSY: Scenario = {
  title: 'Two seconds at rest',
  drill: 'bench-18',
  controller: 'hall-six-step',
  seed: 1,
  step_s: 1e-6,
  duration_s: 2,
  chuck: {},
  timeline: [],
  checks: [],
};
