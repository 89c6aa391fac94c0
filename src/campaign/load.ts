/**
 * From the text of a campaign to a checked campaign. Everything that is wrong is collected, as with scenarios; each value
 * that varies is tried at its ends in the scenario, so that no campaign begins that cannot be run.
 */
import { departures } from '../scenario/conform.ts';
import { explain, placeText } from '../scenario/explain.ts';
import type { Including } from '../scenario/include.ts';
import { loadScenario } from '../scenario/load.ts';
import { suggestion } from '../scenario/nearest.ts';
import { describe } from '../scenario/quantity.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { type Path, type Problem, readSource, type Source } from '../scenario/source.ts';
import type { BreakSpec, Campaign, Spread, Varied, WorstSpec } from './campaign.ts';
import { POINTS_MOST } from './campaign.ts';
import { triangleOf } from './correlate.ts';
import { gridSize } from './draw.ts';
import { withValues } from './place.ts';
import type { Value, Values } from './results.ts';
import { CAMPAIGN_SCHEMA, LIST_MOST } from './schema.ts';
import { loadPoint, refusal } from './trial.ts';
import { readWritten, writeValue } from './written.ts';

/** Everything that running a campaign takes. */
export interface Plan {
  readonly campaign: Campaign;
  /** Campaign file as the user named it. */ readonly file: string;
  /** Scenario file, for messages. */ readonly scenarioFile: string;
  /** What the scenario file and all that it includes hold, with the controller of the campaign, before any value is put in. */ readonly content: unknown;
  readonly scenario: Scenario;
}

export type CampaignResult =
  | { readonly ok: true; readonly plan: Plan }
  | { readonly ok: false; readonly problems: readonly Problem[] };

/** Gives the text and the name of a scenario file. Throws Error when it cannot be read. */
export type ReadScenario = (named: string) => {
  readonly text: string;
  readonly file: string;
  /** What reads the files that it includes. */ readonly including?: Including;
};

/** Reads a campaign. Never throws; problems come in the order of their lines. */
export function loadCampaign(text: string, file: string, readScenario: ReadScenario): CampaignResult {
  const source = readSource(text, file);
  if (source.content === undefined || source.content === null) {
    const empty = { file, line: 1, text: 'the file is empty; a campaign has at least title and scenario' };
    return { ok: false, problems: source.problems.length > 0 ? source.problems : [empty] };
  }
  const reader = new Reader(source, file);
  for (const error of departures({ ...CAMPAIGN_SCHEMA }, source.content)) {
    const [{ path, atKey, text: why }] = explain([error]);
    if (error.keyword !== 'anyOf') reader.fail(path, why, atKey);
    // An amount that is none of both is told below, where its key has a word for it.
    else if (path.includes('values')) {
      reader.fail(path, `${describe(error.data)} does not fit; allowed is a number, text, true or false`);
    }
  }
  const content = record(source.content);
  const campaign = reader.campaign(content);
  if (reader.problems.length > 0) return { ok: false, problems: sorted(reader.problems) };
  return withScenario(reader, content, campaign, file, readScenario);
}

const sorted = (problems: readonly Problem[]) => [...problems].sort((a, b) => a.line - b.line);

function withScenario(
  reader: Reader,
  content: Content,
  campaign: Campaign,
  file: string,
  readScenario: ReadScenario,
): CampaignResult {
  let found: ReturnType<ReadScenario>;
  try {
    found = readScenario(campaign.scenario);
  } catch (error) {
    reader.fail(['scenario'], `cannot be read: ${(error as Error).message}`);
    return { ok: false, problems: reader.problems };
  }
  const base = loadScenario(found.text, found.file, found.including);
  if (!base.ok) return base;
  const start = campaign.controller === undefined ? {} : { controller: campaign.controller };
  const named = withValues(base.content, start);
  reader.tryEnds(campaign, content, (values) => {
    const tried = loadPoint(named, values, found.file);
    return tried.ok ? '' : refusal(tried);
  });
  reader.checkNames(campaign, base.scenario);
  if (reader.problems.length > 0) return { ok: false, problems: sorted(reader.problems) };
  const plan = { campaign, file, scenarioFile: found.file, content: named, scenario: base.scenario };
  return { ok: true, plan: Object.freeze(plan) };
}

type Content = Readonly<Record<string, unknown>>;

class Reader {
  readonly problems: Problem[] = [];
  private readonly source: Source;
  private readonly file: string;

  constructor(source: Source, file: string) {
    this.source = source;
    this.file = file;
  }

  fail(path: Path, why: string, atKey = false): void {
    const place = placeText(atKey ? path.slice(0, -1) : path);
    const line = atKey ? this.source.lineOfKey(path) : this.source.lineOf(path);
    this.problems.push({ file: this.file, line, text: place === '' ? why : `${place}: ${why}` });
  }

  campaign(content: Content): Campaign {
    const vary = list(content.vary).map((each, k) => this.varied(record(each), ['vary', k], content));
    vary.forEach(({ place }, k) => {
      const first = vary.findIndex((each) => each.place === place);
      if (first < k) this.fail(['vary', k, 'place'], `'${place}' varies in entry ${first + 1} already`);
    });
    const draw = (content.draw as Campaign['draw'] | undefined) ?? 'grid';
    const worst = 'worst' in content ? this.worst(content, vary) : undefined;
    const breaking = 'break' in content ? this.breaking(record(content.break), vary) : undefined;
    if (worst && breaking) this.fail(['worst'], "a campaign has one search; name one of 'break' and 'worst'");
    return Object.freeze({
      title: String(content.title),
      scenario: String(content.scenario),
      controller: typeof content.controller === 'string' ? content.controller : undefined,
      seed: typeof content.seed === 'number' ? content.seed : 1,
      method: worst ? 'worst' : breaking ? 'break' : draw,
      draw,
      points: worst ? worst.starts : this.points(content, draw, vary),
      vary: Object.freeze(vary),
      triangle: this.triangle(content, draw, vary),
      break: breaking,
      worst,
    });
  }

  private points(content: Content, draw: Campaign['draw'], vary: readonly Varied[]): number {
    if (draw === 'grid') {
      if ('points' in content)
        this.fail(['points'], 'a grid has as many as its values make; allowed with draw: random, hypercube');
      const size = gridSize(vary);
      if (size > POINTS_MOST) this.fail(['vary'], `the grid has ${size} points; allowed are ${POINTS_MOST}`);
      return size;
    }
    if (!('points' in content)) this.fail(['draw'], `key 'points' is missing; ${draw} has to know how many`);
    if (vary.length === 0) this.fail(['draw'], `nothing varies; ${draw} draws the values of 'vary'`);
    return Number(content.points);
  }

  private varied(from: Content, path: Path, content: Content): Varied {
    const place = String(from.place);
    const whole = from.whole === true;
    const ranged = !('worst' in content) && ((content.draw as string | undefined) ?? 'grid') === 'grid';
    if ('values' in from) {
      for (const key of ['from', 'to', 'steps', 'spread', 'mean', 'deviation', 'whole']) {
        if (key in from) this.fail([...path, key], "allowed without 'values' only");
      }
      const values = list(from.values) as Value[];
      return { place, spread: { kind: 'listed', values }, unit: '', steps: values.length, whole };
    }
    const unit = this.unitOf(from, path, ['from', 'to', 'mean', 'deviation']);
    const spread = from.spread === 'bell' ? this.bell(from, path) : this.even(from, path);
    if (ranged && !('steps' in from)) this.fail(path, "a grid has to know how many; name 'steps' or 'values'");
    if (!ranged && 'steps' in from) this.fail([...path, 'steps'], 'only a grid has steps');
    if (ranged && from.spread === 'bell')
      this.fail([...path, 'spread'], 'a grid is even; a bell is for random and hypercube');
    if (whole && spread.kind === 'even' && !(Number.isInteger(spread.from) && Number.isInteger(spread.to))) {
      this.fail([...path, 'whole'], "'from' and 'to' must be whole numbers too");
    }
    const steps = typeof from.steps === 'number' ? Math.min(from.steps, LIST_MOST) : 1;
    return { place, spread, unit, steps, whole };
  }

  private even(from: Content, path: Path): Spread {
    for (const key of ['mean', 'deviation']) {
      if (key in from) this.fail([...path, key], 'allowed together with spread: bell only');
    }
    for (const key of ['from', 'to']) {
      if (!(key in from)) this.fail(path, `key '${key}' is missing; a value has 'values', or 'from' and 'to'`);
    }
    const [low, high] = [this.number(from, path, 'from') ?? 0, this.number(from, path, 'to') ?? 1];
    if (low >= high) this.fail([...path, 'to'], `'${from.to}' is not above 'from' ${from.from}`);
    return { kind: 'even', from: low, to: high };
  }

  private bell(from: Content, path: Path): Spread {
    for (const key of ['mean', 'deviation']) {
      if (!(key in from)) this.fail(path, `key '${key}' is missing; a bell has 'mean' and 'deviation'`);
    }
    const deviation = this.number(from, path, 'deviation') ?? 1;
    if (deviation <= 0) this.fail([...path, 'deviation'], `'${from.deviation}' is not above zero`);
    const low = this.number(from, path, 'from') ?? Number.NEGATIVE_INFINITY;
    const high = this.number(from, path, 'to') ?? Number.POSITIVE_INFINITY;
    const mean = this.number(from, path, 'mean') ?? 0;
    if (low >= high) this.fail([...path, 'to'], `'${from.to}' is not above 'from' ${from.from}`);
    const far = 8 * deviation;
    if (low > mean + far || high < mean - far) {
      this.fail([...path, 'mean'], `'${from.mean}' is more than eight deviations outside 'from' and 'to'`);
    }
    return { kind: 'bell', mean, deviation, from: low, to: high };
  }

  private number(from: Content, path: Path, key: string): number | undefined {
    if (!(key in from)) return undefined;
    const read = readWritten(from[key]);
    if (!read) this.fail([...path, key], `${describe(from[key])} is not a number with a unit`);
    return read?.number;
  }

  /** All of one value are written in the same unit. */
  private unitOf(from: Content, path: Path, keys: readonly string[]): string {
    const units = keys.flatMap((key) => {
      const read = key in from ? readWritten(from[key]) : undefined;
      return read ? [{ key, unit: read.unit }] : [];
    });
    for (const { key, unit } of units) {
      if (unit === units[0].unit) continue;
      const first = units[0].unit === '' ? 'no unit' : `the unit ${units[0].unit}`;
      this.fail([...path, key], `'${from[key]}' differs in its unit from '${units[0].key}', which has ${first}`);
    }
    return units[0]?.unit ?? '';
  }

  private triangle(content: Content, draw: string, vary: readonly Varied[]): Campaign['triangle'] {
    if (!('correlation' in content)) return undefined;
    if (draw !== 'random') this.fail(['correlation'], 'allowed together with draw: random only');
    const matrix = list(content.correlation) as number[][];
    if (matrix.length !== vary.length) {
      this.fail(['correlation'], `${matrix.length} rows; allowed are ${vary.length}, one for each value of vary`);
      return undefined;
    }
    try {
      return triangleOf(matrix);
    } catch (error) {
      this.fail(['correlation'], (error as Error).message);
      return undefined;
    }
  }

  private breaking(from: Content, vary: readonly Varied[]): BreakSpec {
    const path = ['break'];
    const place = String(from.place);
    if (vary.some((each) => each.place === place)) this.fail([...path, 'place'], `'${place}' stands in vary too`);
    const unit = this.unitOf(from, path, ['from', 'to', 'tolerance', 'at least']);
    const [start, end] = [this.number(from, path, 'from') ?? 0, this.number(from, path, 'to') ?? 1];
    const tolerance = this.number(from, path, 'tolerance') ?? 1;
    if (start === end) this.fail([...path, 'to'], `'${from.to}' is the same as 'from'`);
    if (!(tolerance > 0)) this.fail([...path, 'tolerance'], `'${from.tolerance}' is not above zero`);
    const asked = this.number(from, path, 'at least') ?? null;
    if (asked !== null && (asked - start) * (asked - end) > 0) {
      this.fail([...path, 'at least'], `'${from['at least']}' is not between 'from' and 'to'`);
    }
    const check = typeof from.check === 'string' ? from.check : 'any';
    const probes = typeof from.probes === 'number' ? from.probes : 3;
    return Object.freeze({ place, unit, from: start, to: end, tolerance, check, probes, asked });
  }

  private worst(content: Content, vary: readonly Varied[]): WorstSpec {
    const from = record(content.worst);
    for (const key of ['draw', 'points', 'correlation']) {
      if (key in content) this.fail([key], 'a search for the worst picks its points itself');
    }
    if (vary.length === 0) this.fail(['worst'], "nothing varies; name the ranges to search in 'vary'");
    vary.forEach(({ spread }, k) => {
      if (spread.kind === 'bell') this.fail(['vary', k, 'spread'], 'a search for the worst takes ranges, not bells');
    });
    const number = (key: string, usual: number) => (typeof from[key] === 'number' ? (from[key] as number) : usual);
    const check = typeof from.check === 'string' ? from.check : 'any';
    return Object.freeze({
      check,
      runs: number('runs', 100),
      starts: number('starts', 1),
      finest: number('finest', 0.01),
    });
  }

  /** Puts each value alone into the scenario, at its ends, and tells what the scenario says of it. */
  tryEnds(campaign: Campaign, content: Content, refused: (values: Values) => string): void {
    const seen = new Set<string>();
    const attempt = (path: Path, values: Values) => {
      const why = refused(values);
      if (why !== '' && !seen.has(why)) this.fail(path, why);
      seen.add(why);
    };
    if (campaign.controller !== undefined) attempt(['controller'], {});
    campaign.vary.forEach(({ place, spread, unit }, k) => {
      if (spread.kind === 'listed') {
        spread.values.forEach((value, item) => {
          attempt(['vary', k, 'values', item], { [place]: value });
        });
        return;
      }
      const from = record(list(content.vary)[k]);
      for (const key of ['mean', 'from', 'to'] as const) {
        if (key in from)
          attempt(['vary', k, key], { [place]: writeValue(Number(readWritten(from[key])?.number), unit) });
      }
    });
    const { break: search } = campaign;
    if (!search) return;
    for (const key of ['from', 'to'] as const) {
      attempt(['break', key], { [search.place]: writeValue(search[key], search.unit) });
    }
  }

  /** The check that a search looks at is one of the scenario. */
  checkNames({ break: breaking, worst }: Campaign, { checks }: Scenario): void {
    const known = checks.map(({ name }) => name);
    for (const [key, spec] of [
      ['break', breaking],
      ['worst', worst],
    ] as const) {
      if (!spec || spec.check === 'any' || known.includes(spec.check)) continue;
      this.fail([key, 'check'], `'${spec.check}' is no check of the scenario; ${suggestion(spec.check, known)}`);
    }
  }
}

function record(value: unknown): Content {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Content) : {};
}

function list(value: unknown): unknown[] {
  return Array.isArray(value) ? value : [];
}
