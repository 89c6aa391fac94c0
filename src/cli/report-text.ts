/** What the command line prints about a run: one line per check, then how the run was coupled and whether it is valid. */
import pc from 'picocolors';
import { lineText } from '../links/line-figures.ts';
import type { Outcome } from '../runner/play.ts';
import type { CheckResult } from '../scenario/check.ts';
import { toDisplay } from '../units/convert.ts';
import { cautionsOf, type RunFacts } from './run-facts.ts';

/** Printed under every result, and carried in every JSON report. */
export { CAUTION } from '../report/caution.ts';

/** The lines of one run, without the caution. */
export function runLines(facts: RunFacts, outcome: Outcome): string[] {
  const { scenario } = facts;
  const wall = facts.wall_s > 0 ? outcome.virtual_s / facts.wall_s : 0;
  const { counters } = outcome;
  const width = Math.max(...outcome.checks.map(({ name }) => name.length));
  return [
    `${pc.bold(scenario.title)}  (${facts.file})`,
    `  drill ${scenario.drill}, controller ${facts.controller} (${facts.hello.board}, firmware ${facts.hello.firmware})`,
    ...changedLines(facts),
    ...outcome.checks.map((check) => checkLine(check, width)),
    `  ${couplingText(outcome)}: ${digits(outcome.virtual_s)} s virtual in ${digits(facts.wall_s)} s wall, virtual/wall ${digits(wall)}; ` +
      `lost time ${digits(outcome.lostTime_s)} s, late frames ${counters.late}, ${furtherCounts(facts, outcome)}`,
    `  ${energyText(outcome)}; state hash ${outcome.stateHash}`,
    ...(facts.line ? [`  ${lineText(facts.line, facts.hello.watch.length)}`] : []),
    ...faultLines(outcome),
    ...twinLines(outcome),
    ...cautionsOf(facts, outcome).map((text) => `  ${pc.yellow('caution')} ${text}`),
    `  ${verdictText(outcome)}`,
  ];
}

/** One line for each moment at which an injected fault began or ended. */
function faultLines({ faults }: Outcome): string[] {
  return faults.map(({ fault, what, at_s }) => `  fault ${fault} ${what} at ${digits(at_s)} s`);
}

/** How the drill differs from its preset, and how it stood at the start. */
function changedLines({ scenario }: RunFacts): string[] {
  const { set = [], start = {} } = scenario;
  const { rotorAngle_rad, charge, temperature_K } = start;
  const shown = (name: string, si: number | undefined, unit: string) =>
    si === undefined ? [] : [`${name} ${digits(toDisplay(si, unit))} ${unit}`];
  const words = [
    ...set.map(({ key, text }) => `${key} ${text}`),
    ...shown('rotor angle', rotorAngle_rad, 'deg el'),
    ...shown('charge', charge, '%'),
    ...shown('temperature', temperature_K, '°C'),
  ];
  return words.length === 0 ? [] : [`  with ${words.join(', ')}`];
}

/** What became of the fault-free twin. */
function twinLines({ twin }: Outcome): string[] {
  if (twin === undefined) return [];
  return [`  twin without the faults: state hash ${twin.stateHash}${twin.why === '' ? '' : `; ${twin.why}`}`];
}

/** One check: verdict, name (padded to `width`), value, limit, margin in the unit of the signal, and when. */
export function checkLine(check: CheckResult, width = 0): string {
  const unit = check.unit === '' ? '' : ` ${check.unit}`;
  const mark =
    check.verdict === 'pass'
      ? pc.green('pass')
      : check.verdict === 'fail'
        ? pc.red('FAIL')
        : pc.yellow('not evaluated');
  const value = check.value === null ? 'no value' : `${digits(check.value)}${unit}`;
  const limit = check.limit === null ? '' : `, ${check.bound} ${digits(check.limit)}${unit}`;
  const margin = check.margin === null ? '' : `, margin ${digits(check.margin)}${unit}`;
  const when = check.at_s === null ? '' : `, at ${digits(check.at_s)} s`;
  const words = [check.why, check.note ?? ''].filter((text) => text !== '');
  const why = words.length === 0 ? '' : ` (${words.join('; ')})`;
  return `  ${mark}  ${check.name.padEnd(width)}  ${value}${limit}${margin}${when}${why}`;
}

const couplingText = ({ coupling, rate_Hz }: Outcome): string =>
  rate_Hz === undefined ? coupling : `${coupling} at ${digits(rate_Hz)} Hz`;

/** In rate-split what became of every frame; else what the timer had to clamp. */
function furtherCounts({ link }: RunFacts, { coupling, counters }: Outcome): string {
  if (coupling !== 'rate-split' || link === undefined) return `clamped duties ${counters.dutyClamped}`;
  const { sent, answered, lost, heldBack = 0, repeated } = link;
  return `lost frames ${lost}, held back ${heldBack}, repeated ${repeated}; ${answered} of ${sent} Scenes answered`;
}

/** The residual, or, where nothing can balance over a motor that is elsewhere, what was booked at both ends. */
function energyText({ energyResidual, passed_J, accounts_J }: Outcome): string {
  if (!Number.isNaN(energyResidual)) return `energy residual ${digits(energyResidual)} of ${digits(passed_J)} J`;
  const booked = ['pack at its terminals', 'shaft of the motor'].map((name) => `${name} ${digits(accounts_J[name])} J`);
  return `energy: no balance over the motor; ${booked.join(', ')}`;
}

function verdictText({ verdict, why }: Outcome): string {
  const reason = why === '' ? '' : `: ${why}`;
  if (verdict === 'passed') return pc.green(pc.bold('passed'));
  return (verdict === 'controller lost' ? pc.yellow : pc.red)(pc.bold(`${verdict}${reason}`));
}

/** A number with the digits that a reader can use: four, without trailing zeros; very small ones as powers of ten. */
export function digits(value: number): string {
  const small = value !== 0 && Math.abs(value) < 1e-4;
  return small ? value.toExponential(3) : String(Number(value.toPrecision(4)));
}
