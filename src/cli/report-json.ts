/** The result of a run for machines. The keys are a promise: append, never rename. */
import type { Coupling } from '../runner/coupled.ts';
import type { Outcome } from '../runner/play.ts';
import { Check } from '../scenario/check.ts';
import type { Scenario } from '../scenario/scenario.ts';
import type { Problem } from '../scenario/source.ts';
import { SIGNALS } from '../signals.ts';
import { CAUTION } from './report-text.ts';
import { cautionsOf, type RunFacts } from './run-facts.ts';

/** Report of a run that took place. Values of checks are in their unit, everything else is SI. */
export function runReport(facts: RunFacts, outcome: Outcome): object {
  const { scenario, hello } = facts;
  const lost = outcome.verdict === 'controller lost' || outcome.verdict === 'invalid';
  return {
    verdict: outcome.verdict,
    why: outcome.why,
    checks: outcome.checks,
    coupling: outcome.coupling,
    rate_Hz: outcome.rate_Hz ?? null,
    virtualToWall: facts.wall_s > 0 ? outcome.virtual_s / facts.wall_s : null,
    virtual_s: outcome.virtual_s,
    wall_s: facts.wall_s,
    lostTime_s: outcome.lostTime_s,
    energyResidual: outcome.energyResidual,
    energyPassed_J: outcome.passed_J,
    energyAccounts_J: outcome.accounts_J,
    stateHash: outcome.stateHash,
    twin: outcome.twin ?? null,
    scenario: facts.file,
    title: scenario.title,
    drill: scenario.drill,
    controller: facts.controller,
    board: hello.board,
    firmware: hello.firmware,
    shunts: facts.board.shunts,
    seed: scenario.seed,
    step_s: scenario.step_s,
    requirements: scenario.requirements ?? [],
    set: Object.fromEntries((scenario.set ?? []).map(({ key, text }) => [key, text])),
    start: scenario.start ?? {},
    counters: outcome.counters,
    faults: outcome.faults,
    link: facts.link ?? null,
    line: facts.line ?? null,
    cautions: [...cautionsOf(facts, outcome), CAUTION],
    ...(lost ? { lastSamples: lastSamples(outcome) } : {}),
  };
}

/** Report of a run whose controller was lost before its Hello: there is nothing to judge. */
export function unbegunReport(
  file: string,
  scenario: Scenario,
  controller: string,
  why: string,
  coupling: Coupling = 'lock-step',
): object {
  return {
    verdict: 'controller lost',
    why,
    checks: scenario.checks.map((spec) => new Check(spec, 0).result('controller lost')),
    coupling,
    virtualToWall: null,
    virtual_s: 0,
    lostTime_s: 0,
    energyResidual: null,
    stateHash: null,
    twin: null,
    scenario: file,
    title: scenario.title,
    drill: scenario.drill,
    controller,
    requirements: scenario.requirements ?? [],
    cautions: [CAUTION],
  };
}

/** Report of a run that could not begin. */
export function setUpReport(file: string, problems: readonly (Problem | string)[]): object {
  return { verdict: 'set-up error', scenario: file, problems };
}

/** JSON text: the report itself for one file, `{ runs: [...] }` for several. */
export function reportText(reports: readonly object[]): string {
  return `${JSON.stringify(reports.length === 1 ? reports[0] : { runs: reports }, null, 2)}\n`;
}

function lastSamples({ lastRows }: Outcome): object {
  return {
    signals: SIGNALS.map(({ id }) => id),
    units: SIGNALS.map(({ unit }) => unit),
    // A reading that does not exist is null: JSON has no NaN.
    rows: lastRows.map((row) => Array.from(row, (value) => (Number.isFinite(value) ? value : null))),
  };
}
