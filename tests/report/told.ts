/** Runs for reports, as the JSON result of a run tells them. Numbers are illustrative. */
import { type CheckTold, type RunTold, runOf } from '../../src/report/model.ts';

export function check(change: Partial<CheckTold> = {}): CheckTold {
  return {
    name: 'the phase current stays in its limit',
    verdict: 'pass',
    value: 79.2,
    limit: 100,
    bound: 'at most',
    unit: 'A',
    margin: 20.8,
    at_s: 0.148,
    signal: 'currentQ',
    take: 'peak',
    why: '',
    requirements: [],
    ...change,
  };
}

export const failing = (change: Partial<CheckTold> = {}): CheckTold =>
  check({ verdict: 'fail', value: 103.5, margin: -3.5, ...change });

export function run(change: Partial<RunTold> = {}): RunTold {
  const plain = runOf(
    {
      verdict: 'passed',
      why: '',
      coupling: 'in-process',
      virtual_s: 0.25,
      wall_s: 0.5,
      lostTime_s: 0,
      energyResidual: -5.9e-8,
      stateHash: 'a094ec6ace8fc01f',
      scenario: 'scenarios/seat-screw-short.yaml',
      title: 'Seat a screw that is nearly in',
      drill: 'bench-18',
      controller: 'builtin:hall-six-step',
      board: 'built-in board',
      firmware: 'six-step-1',
      seed: 11,
      step_s: 1e-6,
      counters: { ticks: 5000, asked: 4868, boots: 1, lost: 0, late: 0, dutyClamped: 0 },
      faults: [],
      cautions: ['Signal level.'],
    },
    'the run',
    'npm run -s sim -- run scenarios/seat-screw-short.yaml',
  );
  return { ...plain, checks: [check()], ...change };
}
