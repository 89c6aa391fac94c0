/**
 * From the text of a scenario to a checked scenario in SI. Everything that is wrong is collected, so that a person
 * mends a file in one go; nothing runs while a problem is left.
 */
import { Ajv } from 'ajv';
import { controllerNames } from '../control/index.ts';
import { PRESETS } from '../plant/presets/index.ts';
import { SIGNALS, type SignalId } from '../signals.ts';
import { readAmount } from './amount.ts';
import { explain, placeText } from './explain.ts';
import { KINDS, type KindName } from './kinds.ts';
import { suggestion } from './nearest.ts';
import { readQuantity } from './quantity.ts';
import { readFault } from './read-faults.ts';
import type { CheckSpec, Handling, Meets, Scenario, Shunts, Take, TimelineEntry } from './scenario.ts';
import { KIND_KEYWORD, SCENARIO_SCHEMA } from './schema.ts';
import { type Path, type Problem, readSource, type Source } from './source.ts';

export type LoadResult =
  | { readonly ok: true; readonly scenario: Scenario }
  | { readonly ok: false; readonly problems: readonly Problem[] };

/** Controller of a scenario that names none. */
export const DEFAULT_CONTROLLER = 'hall-six-step';

const ajv = new Ajv({ allErrors: true, verbose: true, allowUnionTypes: true, strict: true });
ajv.addKeyword(KIND_KEYWORD);
const fits = ajv.compile(SCENARIO_SCHEMA);

/**
 * Reads a scenario. Never throws; problems come in the order of their lines.
 *
 * @param file name for messages, as the user gave it
 */
export function loadScenario(text: string, file: string): LoadResult {
  const source = readSource(text, file);
  if (source.content === undefined || source.content === null) {
    const empty = {
      file,
      line: 1,
      text: 'the file is empty; a scenario has at least title, drill, duration, timeline',
    };
    return { ok: false, problems: source.problems.length > 0 ? source.problems : [empty] };
  }
  const reader = new Reader(source, file);
  if (!fits(source.content)) {
    for (const { path, atKey, text: why } of explain(fits.errors ?? [])) reader.fail(path, why, atKey);
  }
  const scenario = reader.scenario(record(source.content));
  if (reader.problems.length === 0) return { ok: true, scenario };
  return { ok: false, problems: reader.problems.sort((a, b) => a.line - b.line) };
}

type Content = Readonly<Record<string, unknown>>;

/** What an entry of the timeline may change, in the words of the schema. */
const HANDLED = Object.keys(SCENARIO_SCHEMA.properties.timeline.items.properties)
  .filter((key) => key !== 'at' && key !== 'over')
  .join(', ');

/** Walks the content. Where the schema already found fault it goes on with what it has, to find the rest. */
class Reader {
  readonly problems: Problem[] = [];
  private readonly source: Source;
  private readonly file: string;
  private drill = '';

  constructor(source: Source, file: string) {
    this.source = source;
    this.file = file;
  }

  fail(path: Path, why: string, atKey = false): void {
    const place = placeText(atKey ? path.slice(0, -1) : path);
    const line = atKey ? this.source.lineOfKey(path) : this.source.lineOf(path);
    this.problems.push({ file: this.file, line, text: place === '' ? why : `${place}: ${why}` });
  }

  scenario(content: Content): Scenario {
    this.drill = String(content.drill);
    const duration_s = this.quantity(content, [], 'duration', 'duration') ?? KINDS.duration.range[1];
    const entries = list(content.timeline).map((entry, k) => this.entry(record(entry), ['timeline', k], duration_s));
    const faults = list(content.faults).flatMap((fault, k) => {
      const order = readFault(record(fault), ['faults', k], duration_s, (path, why) => this.fail(path, why));
      return order ? [order] : [];
    });
    const checks = list(content.checks).map((check, k) => this.check(record(check), ['checks', k], duration_s));
    this.sameNames(checks);
    return Object.freeze({
      title: String(content.title),
      drill: String(content.drill),
      controller: this.controller(content.controller),
      seed: typeof content.seed === 'number' ? content.seed : 1,
      step_s: this.quantity(content, [], 'step', 'step') ?? 1e-6,
      duration_s,
      shunts: record(content.board).shunts as Shunts | undefined,
      chuck: Object.freeze(this.chuck(record(content.chuck))),
      timeline: Object.freeze(entries.sort((a, b) => a.at_s - b.at_s)),
      faults: Object.freeze(faults),
      checks: Object.freeze(checks),
    });
  }

  private quantity(from: Content, path: Path, key: string, kind: KindName): number | undefined {
    if (!(key in from)) return undefined;
    const read = readQuantity(from[key], KINDS[kind]);
    if (read.ok) return read.si;
    this.fail([...path, key], read.why);
    return undefined;
  }

  private controller(name: unknown): string {
    if (typeof name !== 'string') return DEFAULT_CONTROLLER;
    const known = controllerNames();
    if (/^\w+:/.test(name)) {
      const why = 'a scenario names a built-in controller only; a command or an address comes from the command line';
      this.fail(['controller'], `'${name}' is refused: ${why} (--controller); allowed here is ${known.join(', ')}`);
    } else if (!known.includes(name)) {
      this.fail(['controller'], `'${name}' is not known; ${suggestion(name, known)}`);
    }
    return name;
  }

  private handling(from: Content, path: Path): Handling {
    const directions: Readonly<Record<string, -1 | 0 | 1>> = { in: 1, locked: 0, out: -1 };
    return {
      direction: typeof from.direction === 'string' ? directions[from.direction] : undefined,
      gear: from.gear as 0 | 1 | 2 | undefined,
      clutch: this.clutch(from, path),
      push_N: this.quantity(from, path, 'push', 'push'),
      wrist: this.quantity(from, path, 'wrist', 'wrist'),
      span_rad: this.quantity(from, path, 'span', 'span'),
      ambient_K: this.quantity(from, path, 'ambient', 'ambient'),
      grip_Nm: this.quantity(from, path, 'grip', 'grip'),
      meets: from.meets as Meets | undefined,
    };
  }

  /** The drill has as many settings as its preset says. */
  private clutch(from: Content, path: Path): number | undefined {
    if (typeof from.clutch !== 'number') return undefined;
    const most = PRESETS[this.drill]?.clutch.settings_Nm.length;
    if (most !== undefined && from.clutch > most) {
      this.fail([...path, 'clutch'], `${from.clutch} is no setting of ${this.drill}; allowed is 0 (locked) to ${most}`);
    }
    return from.clutch;
  }

  private chuck(from: Content): Scenario['chuck'] {
    const depth_m = this.quantity(from, ['chuck'], 'depth', 'depth');
    const drill = PRESETS[this.drill];
    const deepest: Partial<Record<string, number | undefined>> = {
      screw: drill?.screw.seat_m,
      wood: drill?.wood.thickness_m,
      steel: drill?.steel.thickness_m,
    };
    const meets = String(from.meets);
    if ('depth' in from && !(meets in deepest)) {
      const kinds = Object.keys(deepest).join(', ');
      this.fail(['chuck', 'depth'], `only work that is entered has a depth; allowed together with meets: ${kinds}`);
    }
    const most_m = deepest[meets];
    if (depth_m !== undefined && most_m !== undefined && depth_m > most_m) {
      const why = `'${from.depth}' is deeper than the ${meets} of ${this.drill}`;
      this.fail(['chuck', 'depth'], `${why}; allowed is 0 mm to ${most_m * 1000} mm`);
    }
    return { ...this.handling(from, ['chuck']), depth_m };
  }

  private entry(from: Content, path: Path, duration_s: number): TimelineEntry {
    const at_s = this.quantity(from, path, 'at', 'moment') ?? 0;
    const over_s = this.quantity(from, path, 'over', 'ramp') ?? 0;
    if (at_s >= duration_s)
      this.fail([...path, 'at'], `'${from.at}' is not before the end of the run at ${duration_s} s`);
    if ('over' in from && !('trigger' in from)) this.fail([...path, 'over'], 'allowed together with trigger only');
    const keys = Object.keys(from);
    if (keys.length === 1 && keys[0] === 'at') {
      this.fail(path, `nothing happens here; name at least one of ${HANDLED}`);
    }
    return Object.freeze({
      at_s,
      over_s,
      trigger: this.quantity(from, path, 'trigger', 'trigger'),
      ...this.handling(from, path),
    });
  }

  private check(from: Content, path: Path, duration_s: number): CheckSpec {
    const from_s = this.quantity(from, path, 'from', 'moment') ?? 0;
    const to_s = this.quantity(from, path, 'to', 'moment') ?? duration_s;
    if (to_s > duration_s) this.fail([...path, 'to'], `'${from.to}' is after the end of the run at ${duration_s} s`);
    if (from_s > Math.min(to_s, duration_s))
      this.fail([...path, 'from'], `'${from.from}' is after the end of the window`);
    if (!('at least' in from) && !('at most' in from))
      this.fail(path, "a limit is missing; name 'at least' or 'at most'");
    const atLeast = this.limit(from, path, 'at least');
    const atMost = this.limit(from, path, 'at most');
    if (atLeast !== undefined && atMost !== undefined && atLeast > atMost) {
      this.fail([...path, 'at least'], `'${from['at least']}' is above 'at most' ${from['at most']}; nothing can pass`);
    }
    const take = (from.take as Take | undefined) ?? 'last';
    return Object.freeze({
      name: String(from.name),
      signal: from.signal as SignalId,
      take,
      from_s,
      to_s,
      atLeast,
      atMost,
    });
  }

  /** A limit in SI. Its units are those of the signal; a signal without a unit takes plain numbers. */
  private limit(from: Content, path: Path, key: 'at least' | 'at most'): number | undefined {
    const signal = SIGNALS.find(({ id }) => id === from.signal);
    if (!(key in from) || !signal) return undefined;
    const read = readAmount(from[key], signal.show, signal.id);
    if (read.ok) return read.si;
    this.fail([...path, key], read.why);
    return undefined;
  }

  private sameNames(checks: readonly CheckSpec[]): void {
    checks.forEach(({ name }, k) => {
      const first = checks.findIndex((each) => each.name === name);
      if (first < k)
        this.fail(['checks', k, 'name'], `'${name}' is also the name of check ${first + 1}; each is allowed once`);
    });
  }
}

function record(value: unknown): Content {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Content) : {};
}

function list(value: unknown): unknown[] {
  return Array.isArray(value) ? value : [];
}
