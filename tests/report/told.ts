/** Runs for reports, as the JSON result of a run tells them. Numbers are illustrative. */
import { type CheckTold, type RunTold, runOf } from '../../src/report/model.ts';
import type { Report, Watched } from '../../src/report/report.ts';
import { limitLines, RunWatch } from '../../src/report/watch.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';

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
    note: '',
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

/** A report with a drill of one parameter. */
export function report(runs: readonly RunTold[], change: Partial<Report> = {}): Report {
  return {
    title: 'Five ways to end',
    at: '2026-01-02T03:04:05Z',
    command: 'npm run -s sim -- run a.yaml',
    versions: {
      program: 'phantom-spindle 0.1.0',
      'sha256 of a.yaml': '15bcad55628d18ba25f7be8e4a580ed297976aa268551a852f19ed78d9673610',
    },
    runs,
    played: runs,
    campaigns: [],
    watched: new Map(),
    sheets: [
      {
        name: 'bench-18',
        title: 'Bench drill',
        conditions: 'Pack half full.',
        sections: [{ title: 'Supply', figures: [{ what: 'pack, full', shown: 20.88, shownUnit: 'V' }] }],
        groups: [
          {
            name: 'winding',
            title: 'Winding and iron',
            rows: [
              {
                key: 'r_ohm',
                value: 0.008,
                unit: 'ohm',
                doc: 'phase resistance',
                source: 'illustrative, nobody measured it',
              },
            ],
          },
        ],
      },
    ],
    ...change,
  };
}

/** A quarter of a second: the trigger pressed at 20 ms, the speed rising from 40 ms, standing again at the end. */
export function watched(): Watched {
  const watch = new RunWatch(['currentQ', 'hall'], 0.25, 1e-4);
  const sample = new Float64Array(SIGNALS.length);
  for (let k = 1; k <= 2500; k++) {
    const t_s = k * 1e-4;
    sample[SIGNAL_INDEX.time] = t_s;
    sample[SIGNAL_INDEX.trigger] = t_s > 0.02 && t_s <= 0.2 ? 1 : 0;
    sample[SIGNAL_INDEX.motorSpeed] = t_s > 0.04 && t_s < 0.22 ? 900 : 0;
    sample[SIGNAL_INDEX.currentQ] = k === 1480 ? 103.5 : 40;
    sample[SIGNAL_INDEX.hall] = Number.NaN;
    watch.see(sample);
  }
  watch.end();
  const spec = {
    name: 'the phase current stays in its limit',
    signal: 'currentQ',
    take: 'peak',
    from_s: 0,
    to_s: 0.25,
    atMost: 100,
  };
  return { watch, limits: limitLines([spec], 0.25) };
}
