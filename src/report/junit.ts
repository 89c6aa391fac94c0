/**
 * Runs as JUnit XML, the schema that build servers read. One suite a run; one case a check, and one for the run itself,
 * so that a run without a single judged check cannot look green.
 *
 * The schema has no author to cite; what is kept here is common practice, no source: no attribute on the root, a name on
 * every suite, properties before cases, class name and case name unique together, counts on every suite.
 */
import { escaped, escapedAttribute, plainText } from './escape.ts';
import type { CheckTold, RunTold } from './model.ts';
import { checkText, isUncounted, pointText, runName } from './words.ts';

export interface JunitFacts {
  /** When the file was made, ISO 8601. */ readonly at: string;
  /** Further properties of every suite, such as versions. */ readonly properties: Readonly<Record<string, string>>;
  /** Properties of one run, such as the hash of its file. */
  readonly ofRun?: (run: RunTold) => Readonly<Record<string, string>>;
}

export interface Junit {
  readonly text: string;
  readonly suites: number;
  readonly cases: number;
  /** Failures and errors: what a build server shows red. */ readonly red: number;
}

type Kind = 'failure' | 'error' | 'skipped';

interface Case {
  readonly name: string;
  readonly time_s: number;
  readonly ends?: { readonly kind: Kind; readonly message: string; readonly body: string };
}

export function junitOf(runs: readonly RunTold[], facts: JunitFacts): Junit {
  const names = new Names();
  const suiteNames = new Names();
  const suites = runs.map((run) => {
    const className = names.classOf(run);
    const cases = casesOf(run).map((each) => ({ ...each, name: names.unique(className, each.name) }));
    return { text: suiteText(run, suiteNames.unique('', runName(run)), className, cases, facts), cases };
  });
  const cases = suites.flatMap((suite) => suite.cases);
  return {
    text: `<?xml version="1.0" encoding="UTF-8"?>\n<testsuites>\n${suites.map(({ text }) => text).join('')}</testsuites>\n`,
    suites: suites.length,
    cases: cases.length,
    red: count(cases, 'failure') + count(cases, 'error'),
  };
}

/** Names after the characters are gone that XML does not know: two that differ in those only must still differ. */
class Names {
  private readonly taken = new Set<string>();

  /** The file without its ending; importers take points for folders. */
  classOf({ file, title }: RunTold): string {
    const path = plainText(file).replace(/\.ya?ml$/, '');
    const parts = path.split(/[/\\]+/).map((part) => part.replaceAll('.', '_').trim());
    return parts.filter((part) => part !== '').join('.') || plainText(title).trim() || 'scenario';
  }

  unique(className: string, wish: string): string {
    const name = plainText(wish).trim() || '(no name)';
    let full = name;
    for (let k = 2; this.taken.has(`${className}\n${full}`); k++) full = `${name} (${k})`;
    this.taken.add(`${className}\n${full}`);
    return full;
  }
}

function casesOf(run: RunTold): Case[] {
  const where = pointText(run);
  const named = (name: string) => (where === '' ? name : `${name} [${where}]`);
  const checks = run.checks.map((check) => caseOf(run, check, named(check.name)));
  return [...checks, runCase(run, named('the run took place and is valid'), checks)];
}

function caseOf(run: RunTold, check: CheckTold, name: string): Case {
  if (check.verdict === 'pass') return { name, time_s: 0 };
  const kind = check.verdict === 'fail' ? 'failure' : isUncounted(run, check) ? 'skipped' : 'error';
  const line = checkText(check);
  return { name, time_s: 0, ends: { kind, message: `${check.verdict}: ${line}`, body: bodyOf(run, [line]) } };
}

/** Red whenever the run did not pass and no check says so already. */
function runCase(run: RunTold, name: string, checks: readonly Case[]): Case {
  const time_s = run.wall_s ?? 0;
  const told = count(checks, 'failure') + count(checks, 'error') > 0;
  if (run.verdict === 'passed' || (run.verdict === 'failed' && told)) return { name, time_s };
  const message = run.why === '' ? run.verdict : `${run.verdict}: ${run.why}`;
  return { name, time_s, ends: { kind: 'error', message, body: bodyOf(run, [message, ...run.problems]) } };
}

function bodyOf(run: RunTold, lines: readonly string[]): string {
  return [...lines, ...(run.again === '' ? [] : [`again: ${run.again}`])].join('\n');
}

const count = (cases: readonly Case[], kind: Kind): number => cases.filter(({ ends }) => ends?.kind === kind).length;

function suiteText(run: RunTold, name: string, className: string, cases: readonly Case[], facts: JunitFacts): string {
  const head = attributes({
    name,
    tests: cases.length,
    failures: count(cases, 'failure'),
    errors: count(cases, 'error'),
    skipped: count(cases, 'skipped'),
    time: (run.wall_s ?? 0).toFixed(3),
    timestamp: facts.at,
  });
  const properties = Object.entries(propertiesOf(run, facts)).map(
    ([key, value]) => `      <property${attributes({ name: key, value })}/>\n`,
  );
  return `  <testsuite${head}>
    <properties>
${properties.join('')}    </properties>
${cases.map((each) => caseText(each, className)).join('')}  </testsuite>
`;
}

function caseText({ name, time_s, ends }: Case, className: string): string {
  const head = `    <testcase${attributes({ classname: className, name, time: time_s.toFixed(3) })}`;
  if (ends === undefined) return `${head}/>\n`;
  const inner =
    ends.kind === 'skipped'
      ? `<skipped${attributes({ message: ends.message })}/>`
      : `<${ends.kind}${attributes({ message: ends.message, type: ends.kind === 'failure' ? 'check' : 'run' })}>${escaped(ends.body)}</${ends.kind}>`;
  return `${head}>\n      ${inner}\n    </testcase>\n`;
}

function propertiesOf(run: RunTold, { properties, ofRun }: JunitFacts): Record<string, string> {
  const of = (name: string, value: string | number | null) =>
    value === null || value === '' ? {} : { [name]: String(value) };
  return {
    ...of('verdict', run.verdict),
    ...of('scenario', run.file),
    ...of('seed', run.seed),
    ...Object.fromEntries(run.point.map(({ name, text }) => [`point ${name}`, text])),
    ...of('drill', run.drill),
    ...of('controller', run.controller),
    ...of('board', run.board),
    ...of('firmware', run.firmware),
    ...of('coupling', run.coupling),
    ...of('exchanges a second', run.rate_Hz),
    ...of('virtual s', run.virtual_s),
    ...of('lost time s', run.lostTime_s),
    ...of('step s', run.step_s),
    ...of('state hash', run.stateHash),
    ...of('requirements', run.requirements.join(', ')),
    ...properties,
    ...ofRun?.(run),
  };
}

function attributes(of: Readonly<Record<string, string | number>>): string {
  return Object.entries(of)
    .map(([name, value]) => ` ${name}="${escapedAttribute(String(value))}"`)
    .join('');
}
