/**
 * What reports are made from: runs as the JSON result tells them. The same reader takes the result of this program and a
 * stored one of an older build, so that both can be laid side by side; keys that an older build did not write are empty.
 */
export type CheckVerdict = 'pass' | 'fail' | 'not evaluated';

/** One check, in the unit that people read. */
export interface CheckTold {
  readonly name: string;
  readonly verdict: CheckVerdict;
  readonly value: number | null;
  readonly limit: number | null;
  readonly bound: string | null;
  readonly unit: string;
  readonly margin: number | null;
  readonly at_s: number | null;
  readonly signal: string;
  readonly take: string;
  readonly why: string;
  /** What a reader has to know to understand the number, '' otherwise. */ readonly note: string;
  /** Requirements that it stands for. */ readonly requirements: readonly string[];
}

/** One coordinate of a point of a campaign. */
export interface PointValue {
  readonly name: string;
  /** As a person reads it, with its unit. */ readonly text: string;
}

export interface FaultTold {
  readonly at_s: number;
  readonly fault: string;
  readonly what: string;
  /** What the drill was doing when it began, '' where that is not known. */ readonly met: string;
}

export interface RunTold {
  /** passed, failed, invalid, controller lost, set-up error. */ readonly verdict: string;
  readonly why: string;
  readonly checks: readonly CheckTold[];
  readonly file: string;
  readonly title: string;
  readonly drill: string;
  readonly controller: string;
  readonly board: string;
  readonly firmware: string;
  readonly seed: number | null;
  readonly step_s: number | null;
  /** Empty for a run that stands alone. */ readonly point: readonly PointValue[];
  readonly coupling: string;
  readonly rate_Hz: number | null;
  readonly virtual_s: number;
  readonly wall_s: number | null;
  readonly lostTime_s: number;
  readonly energyResidual: number | null;
  readonly stateHash: string;
  readonly counters: Readonly<Record<string, number>>;
  readonly faults: readonly FaultTold[];
  /** Faults that the scenario orders, by name; those that never began are among them. */
  readonly ordered: readonly string[];
  readonly cautions: readonly string[];
  /** Of a set-up error. */ readonly problems: readonly string[];
  readonly requirements: readonly string[];
  /** One line for a shell that plays this run again; '' where none is known. */ readonly again: string;
}

type Content = Readonly<Record<string, unknown>>;

/** Runs of a JSON result: one run, or `{ runs: [...] }`. Throws RangeError naming the place and what is allowed. */
export function runsOf(result: unknown): RunTold[] {
  const top = record(result);
  if (top === undefined) throw new RangeError(`a result is a group of keys; ${kindOf(result)} does not fit`);
  if (!('runs' in top)) return [runOf(top, 'the result')];
  if (!Array.isArray(top.runs)) throw new RangeError(`runs: ${kindOf(top.runs)} does not fit; allowed is a list`);
  return top.runs.map((each, k) => runOf(each, `run ${k + 1}`));
}

/** One run. @param where for messages @param again one line that plays it again */
export function runOf(result: unknown, where: string, again = ''): RunTold {
  const from = record(result);
  if (from === undefined) throw new RangeError(`${where}: ${kindOf(result)} does not fit; allowed is a group of keys`);
  if (typeof from.verdict !== 'string') throw new RangeError(`${where}: key 'verdict' is missing or no text`);
  const file = text(from.scenario);
  return {
    verdict: from.verdict,
    why: text(from.why),
    checks: list(from.checks).map((each, k) => checkOf(each, `${where}, check ${k + 1}`)),
    file,
    title: text(from.title) || file,
    drill: text(from.drill),
    controller: text(from.controller),
    board: text(from.board),
    firmware: text(from.firmware),
    seed: number(from.seed),
    step_s: number(from.step_s),
    point: pointOf(from.point),
    coupling: text(from.coupling),
    rate_Hz: number(from.rate_Hz),
    virtual_s: number(from.virtual_s) ?? 0,
    wall_s: number(from.wall_s),
    lostTime_s: number(from.lostTime_s) ?? 0,
    energyResidual: number(from.energyResidual),
    stateHash: text(from.stateHash),
    counters: numbersOf(from.counters),
    faults: list(from.faults).map((each) => {
      const fault = record(each) ?? {};
      return { at_s: number(fault.at_s) ?? 0, fault: text(fault.fault), what: text(fault.what), met: text(fault.met) };
    }),
    ordered: list(from.ordered).map(text),
    cautions: list(from.cautions).map(text),
    problems: list(from.problems).map(problemOf),
    requirements: list(from.requirements).map(text),
    again: again || text(from.again),
  };
}

const VERDICTS: readonly string[] = ['pass', 'fail', 'not evaluated'] satisfies CheckVerdict[];

function checkOf(result: unknown, where: string): CheckTold {
  const from = record(result) ?? {};
  const verdict = text(from.verdict);
  if (!VERDICTS.includes(verdict)) throw new RangeError(`${where}: verdict '${verdict}' is not ${VERDICTS.join(', ')}`);
  return {
    name: text(from.name),
    verdict: verdict as CheckVerdict,
    value: number(from.value),
    limit: number(from.limit),
    bound: from.bound === null ? null : text(from.bound),
    unit: text(from.unit),
    margin: number(from.margin),
    at_s: number(from.at_s),
    signal: text(from.signal),
    take: text(from.take),
    why: text(from.why),
    note: text(from.note),
    requirements: list(from.requirements).map(text),
  };
}

function pointOf(point: unknown): PointValue[] {
  return Object.entries(record(point) ?? {}).map(([name, value]) => ({ name, text: text(value) }));
}

function problemOf(problem: unknown): string {
  const from = record(problem);
  return from ? `${text(from.file)}:${text(from.line)}: ${text(from.text)}` : text(problem);
}

function numbersOf(from: unknown): Record<string, number> {
  return Object.fromEntries(
    Object.entries(record(from) ?? {}).filter((each): each is [string, number] => typeof each[1] === 'number'),
  );
}

function record(value: unknown): Content | undefined {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Content) : undefined;
}

const list = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);
const number = (value: unknown): number | null => (typeof value === 'number' && Number.isFinite(value) ? value : null);
const text = (value: unknown): string =>
  typeof value === 'string' ? value : typeof value === 'number' || typeof value === 'boolean' ? String(value) : '';
const kindOf = (value: unknown): string =>
  Array.isArray(value) ? 'a list' : value === null ? 'nothing' : typeof value === 'object' ? 'a group' : typeof value;
