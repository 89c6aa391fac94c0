/** scenarios/COVERAGE.md: which need is covered by which file, and what the built-in controllers make of each file. */
import { controllerNames } from '../../src/control/index.ts';
import type { Outcome } from '../../src/runner/play.ts';
import type { CheckResult } from '../../src/scenario/check.ts';
import { ROWS } from './rows.ts';

export const COVERAGE = 'scenarios/COVERAGE.md';
export const RENEW = `npx tsx tests/scenario-library/main.ts > ${COVERAGE}`;

/** Result of one file with one controller, as it stands in the table. */
export function cell({ verdict, why, checks }: Outcome): string {
  if (verdict !== 'passed' && verdict !== 'failed') return `${verdict}: ${why}`;
  const missed = checks.filter((check) => check.verdict !== 'pass');
  if (missed.length === 0) return `passes; least room: ${text(tightest(checks))}`;
  return `does not: ${missed.map(text).join('; ')}`;
}

function text({ name, value, unit, bound, limit, why }: CheckResult): string {
  const shown = `${name.replaceAll('|', '/')}: ${number(value)}${unit && ` ${unit}`}`;
  return why === '' ? `${shown} (${bound} ${number(limit)})` : `${shown} (not evaluated, ${why})`;
}

const number = (value: number | null): string => (value === null ? 'no value' : String(Number(value.toPrecision(3))));

/** Checks that every run has; they are not of the scenario. */
const ALWAYS = ['energyResidual', 'lostTime', 'late'];

/** The check of the scenario with the least room, as a share of its limit; one that allows nothing says nothing of room. */
function tightest(checks: readonly CheckResult[]): CheckResult {
  const own = checks.filter(({ signal }) => !ALWAYS.includes(signal));
  const telling = own.filter(({ limit }) => limit !== 0);
  const share = ({ margin, limit, value }: CheckResult) =>
    (margin ?? 0) / Math.max(Math.abs(limit ?? 0), Math.abs(value ?? 0), 1e-9);
  return (telling.length > 0 ? telling : own).reduce((a, b) => (share(b) < share(a) ? b : a));
}

/** The line of one file. */
export const line = (file: string, cells: readonly string[]): string => `| ${[`\`${file}\``, ...cells].join(' | ')} |`;

/** The whole page. @param lines one of each file */
export function page(files: readonly string[], lines: readonly string[]): string {
  const needs = ROWS.map(({ need, what, files, open }) =>
    `| ${[need, what, files.map((name) => `\`${name}\``).join(', ') || 'none', open || ''].join(' | ')} |`.replace(
      '|  |',
      '| |',
    ),
  );
  return `# What the scenarios cover

${files.length} files. Each shows one moment of the life of a drill: what the hand does, what breaks, and what must be true. Limits
stand in the files with their reason; they are not drawn to what the built-in controllers can do, so these do not pass
everything. What a controller does not pass is told with the value that it reached and the limit.

Renew this page with \`${RENEW}\`; a test plays every file and compares.

## Needs

| need | what can go wrong | files | not covered, and why |
| --- | --- | --- | --- |
${needs.join('\n')}

## Results

| file | ${controllerNames().join(' | ')} |
| --- |${controllerNames()
    .map(() => ' --- |')
    .join('')}
${lines.join('\n')}
`;
}
