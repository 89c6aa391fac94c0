/**
 * From the text of a scenario to a checked scenario in SI. Everything that is wrong is collected, so that a person
 * mends a file in one go; nothing runs while a problem is left.
 */
import { controllerNames } from '../control/index.ts';
import type { DrillParams } from '../plant/params.ts';
import { PRESETS } from '../plant/presets/index.ts';
import { requireStable } from '../plant/stability.ts';
import type { CheckSpec } from './checks/spec.ts';
import { departures } from './conform.ts';
import { drillOf } from './drill.ts';
import { explain, type Finding, placeText } from './explain.ts';
import { gather, type Including, Merged, type Part } from './include.ts';
import { KINDS, ORDER_CHECKS_MOST, PROBLEMS_MOST } from './kinds.ts';
import { FORMAT } from './migrate.ts';
import { suggestion } from './nearest.ts';
import { describe } from './quantity.ts';
import { readCheck } from './read-check.ts';
import { readFault } from './read-faults.ts';
import { readSet } from './read-set.ts';
import { type Content, Group, list, record } from './reader.ts';
import { readRequirements } from './requirements.ts';
import type { Handling, Meets, Scenario, Shunts, Start, TimelineEntry } from './scenario.ts';
import { NEEDED, PRESET_SCHEMA, SCENARIO_SCHEMA } from './schema.ts';
import { shown } from './shown.ts';
import type { Path, Problem } from './source.ts';

export type LoadResult =
  | {
      readonly ok: true;
      readonly scenario: Scenario;
      /** What was read: all parts as one, of the newest version, which loads to the same scenario. */
      readonly content: Content;
    }
  | { readonly ok: false; readonly problems: readonly Problem[] };

/** Controller of a scenario that names none. */
export const DEFAULT_CONTROLLER = 'hall-six-step';
/** Longest text of a problem; lists of all signals are longer than a thousand letters. */
const WORDS_MOST = 2000;

/** The schema for what a file and all that it includes say together. */
const WHOLE_SCHEMA = { ...SCENARIO_SCHEMA, required: NEEDED } as Readonly<Record<string, unknown>>;

const OWN = SCENARIO_SCHEMA as unknown as Readonly<Record<string, unknown>>;
const PRESET = PRESET_SCHEMA as unknown as Readonly<Record<string, unknown>>;

/**
 * Reads a scenario. Never throws; problems come in the order of their lines, those of the file itself first.
 *
 * @param file name for messages, as the user gave it @param including what reads other files; without it nothing is included
 */
export function loadScenario(text: string, file: string, including?: Including): LoadResult {
  const { parts, problems } = gather(text, file, including);
  const own = parts[parts.length - 1];
  if (own === undefined || own.file !== file) return { ok: false, problems: inOrder(problems, file) };
  const merged = new Merged(parts);
  const reader = new Reader(merged, problems);
  for (const part of parts) if (part !== own) reader.holdTo(PRESET, part.content, part);
  // What a part that could not be read was to bring is not missed as well.
  reader.holdTo(problems.length > 0 ? OWN : WHOLE_SCHEMA, wholeContent(merged, own));
  const scenario = reader.scenario(merged.content);
  if (reader.problems.length > 0) return { ok: false, problems: inOrder(reader.problems, file) };
  return { ok: true, scenario, content: Object.freeze({ format: FORMAT, ...merged.content }) };
}

/** What the schema looks at: `format` and `include` of the file itself belong to it. */
function wholeContent({ content }: Merged, own: Part): Content {
  const kept = (['format', 'include'] as const).filter((key) => Object.hasOwn(own.content, key));
  return { ...content, ...Object.fromEntries(kept.map((key) => [key, own.content[key]])) };
}

/** Fit to be read: sorted, in one line each, and not more than a person looks at. */
function inOrder(problems: readonly Problem[], file: string): Problem[] {
  const rank = (each: Problem) => (each.file === file ? 0 : 1);
  const told = [...problems].sort((a, b) => rank(a) - rank(b) || a.file.localeCompare(b.file) || a.line - b.line);
  const first = told.slice(0, PROBLEMS_MOST).map((each) => ({ ...each, text: shown(each.text, WORDS_MOST) }));
  if (told.length <= PROBLEMS_MOST) return first;
  const last = first[first.length - 1];
  return [...first, { ...last, text: `and ${told.length - PROBLEMS_MOST} or more further problems` }];
}

/** What an entry of the timeline may change, in the words of the schema. */
const HANDLED = Object.keys(SCENARIO_SCHEMA.properties.timeline.items.properties)
  .filter((key) => key !== 'at' && key !== 'over')
  .join(', ');

/** Walks the content. Where the schema already found fault it goes on with what it has, to find the rest. */
class Reader {
  readonly problems: Problem[];
  private readonly merged: Merged;
  private drill: DrillParams | undefined;
  private readonly fail = (path: Path, why: string, atKey = false): void => {
    const found = this.merged.locate(path);
    this.failIn(found.part, found.path, why, atKey);
  };

  constructor(merged: Merged, problems: readonly Problem[]) {
    this.merged = merged;
    this.problems = [...problems];
  }

  /** Tells what departs from a schema: of one part, or of the whole as far as the file itself said it. */
  holdTo(schema: Readonly<Record<string, unknown>>, content: Content, part?: Part): void {
    for (const { path, text, atKey } of explain(departures(schema, content)) as Finding[]) {
      if (part) this.failIn(part, path, text, atKey);
      else if (this.merged.isOwn(path)) this.fail(path, text, atKey);
    }
  }

  scenario(content: Content): Scenario {
    const group = new Group(content, [], this.fail);
    const { drill } = content;
    this.drill = typeof drill === 'string' && Object.hasOwn(PRESETS, drill) ? PRESETS[drill] : undefined;
    const duration_s = group.quantity('duration', 'duration') ?? KINDS.duration.range[1];
    const step_s = group.quantity('step', 'step') ?? 1e-6;
    const set = readSet(this.group(content, 'set'));
    const start = this.start(this.group(content, 'start'));
    const entries = list(content.timeline).map((entry, k) => this.entry(record(entry), ['timeline', k], duration_s));
    const faults = list(content.faults).map((fault, k) =>
      readFault(record(fault), ['faults', k], duration_s, this.fail),
    );
    const checks = list(content.checks).flatMap((check, k) => {
      const spec = readCheck(new Group(check, ['checks', k], this.fail), { duration_s, faults });
      return spec ? [spec] : [];
    });
    this.sameNames(content);
    this.orders(checks);
    const scenario: Scenario = Object.freeze({
      title: String(content.title),
      drill: String(drill),
      controller: this.controller(content.controller),
      seed: typeof content.seed === 'number' ? content.seed : 1,
      step_s,
      duration_s,
      set,
      start,
      requirements: readRequirements(group),
      shunts: record(content.board).shunts as Shunts | undefined,
      chuck: Object.freeze(this.chuck(record(content.chuck))),
      timeline: Object.freeze(entries.sort((a, b) => a.at_s - b.at_s)),
      faults: Object.freeze(faults.flatMap((fault) => (fault ? [fault] : []))),
      checks: Object.freeze(checks),
    });
    if (this.problems.length === 0) this.fits(scenario);
    return scenario;
  }

  private failIn(part: Part, path: Path, why: string, atKey: boolean): void {
    const place = placeText(atKey ? path.slice(0, -1) : path);
    const line = atKey ? part.source.lineOfKey(path) : part.source.lineOf(path);
    this.problems.push({ file: part.file, line, text: place === '' ? why : `${place}: ${why}` });
  }

  private group(content: Content, key: string): Group {
    return new Group(content[key], [key], this.fail);
  }

  private quantity(from: Content, path: Path, key: string, kind: keyof typeof KINDS): number | undefined {
    return new Group(from, path, this.fail).quantity(key, kind);
  }

  private start(group: Group): Start {
    return Object.freeze({
      rotorAngle_rad: group.quantity('rotor angle', 'angle'),
      charge: group.quantity('charge', 'charge'),
      temperature_K: group.quantity('temperature', 'ambient'),
    });
  }

  /** What the numbers of the drill say to each other, once each of them is right by itself. */
  private fits(scenario: Scenario): void {
    if (!scenario.set?.length && scenario.start?.charge === undefined) return;
    try {
      requireStable(drillOf(scenario), scenario.step_s);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      this.fail(['set'], `set: ${error.message}`, true);
    }
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
    const most = this.drill?.clutch.settings_Nm.length;
    if (most !== undefined && from.clutch > most) {
      this.fail(
        [...path, 'clutch'],
        `${from.clutch} is no setting of ${this.drill?.name}; allowed is 0 (locked) to ${most}`,
      );
    }
    return from.clutch;
  }

  private chuck(from: Content): Scenario['chuck'] {
    const depth_m = this.quantity(from, ['chuck'], 'depth', 'depth');
    const { drill } = this;
    const deepest: Partial<Record<string, number | undefined>> = {
      screw: drill?.screw.seat_m,
      wood: drill?.wood.thickness_m,
      steel: drill?.steel.thickness_m,
    };
    const meets = String(from.meets);
    if ('depth' in from && !Object.hasOwn(deepest, meets)) {
      const kinds = Object.keys(deepest).join(', ');
      this.fail(['chuck', 'depth'], `only work that is entered has a depth; allowed together with meets: ${kinds}`);
    }
    const most_m = Object.hasOwn(deepest, meets) ? deepest[meets] : undefined;
    if (depth_m !== undefined && most_m !== undefined && depth_m > most_m) {
      const why = `'${from.depth}' is deeper than the ${meets} of ${drill?.name}`;
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

  private sameNames(content: Content): void {
    const first = new Map<string, number>();
    list(content.checks).forEach((check, k) => {
      const { name } = record(check);
      if (typeof name !== 'string') return;
      const before = first.get(name);
      if (before === undefined) first.set(name, k + 1);
      else
        this.fail(['checks', k, 'name'], `${describe(name)} is also the name of check ${before}; each is allowed once`);
    });
  }

  /** Each keeps its window until the end of the run. */
  private orders(checks: readonly CheckSpec[]): void {
    const count = checks.filter(({ take }) => take === 'order').length;
    if (count > ORDER_CHECKS_MOST) {
      this.fail(['checks'], `${count} checks take an order; allowed are ${ORDER_CHECKS_MOST}`, true);
    }
  }
}
