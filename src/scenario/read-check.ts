/** One check of a scenario, from its content to a spec in SI. What is wrong goes to `fail`, with the place in the file. */
import type { FaultOrder } from '../faults/order.ts';
import { SIGNALS, type SignalId } from '../signals.ts';
import { kindOf, TAKES } from './checks/index.ts';
import type { CheckKind, OwnKey } from './checks/kind.ts';
import type { CheckSpec, Part, Take } from './checks/spec.ts';
import { STATUS_CODES, STATUS_KEYS } from './checks/status.ts';
import { differenceUnit, type NumberUnit, signalUnit } from './checks/unit.ts';
import { suggestion } from './nearest.ts';
import { describe, type QuantityResult } from './quantity.ts';
import type { Group } from './reader.ts';
import { readRequirements } from './requirements.ts';

export const PARTS = ['value', 'magnitude', 'square', 'above zero', 'below zero'] as const satisfies readonly Part[];

/** Keys that go with every number. */
export const COMMON_KEYS = [
  'name',
  'take',
  'from',
  'to',
  'after fault',
  'at least',
  'at most',
  'requirements',
] as const;
const OWN_KEYS = [
  'signal',
  'above',
  'below',
  ...STATUS_KEYS,
  'through',
  'play',
  'of',
  'order',
] as const satisfies readonly OwnKey[];
const LIMITS = ['at least', 'at most'] as const;

/** The rest of the scenario, as far as checks depend on it. */
export interface Around {
  readonly duration_s: number;
  readonly faults: readonly (FaultOrder | undefined)[];
}

/** Keys that a check with this number may have. */
export function keysOf(kind: CheckKind): string[] {
  return [...COMMON_KEYS, ...(kind.againstTwin && !kind.takes.deviation ? ['against'] : []), ...kind.keys];
}

/** Reads one check; the schema has looked at the types of its keys. Undefined when it cannot be made. */
export function readCheck(group: Group, around: Around): CheckSpec | undefined {
  const read = new CheckReader(group, around);
  return read.spec();
}

class CheckReader {
  private readonly group: Group;
  private readonly around: Around;

  constructor(group: Group, around: Around) {
    this.group = group;
    this.around = around;
  }

  spec(): CheckSpec | undefined {
    const { group } = this;
    if (!group.has('take')) {
      group.fail(group.path, `key 'take' is missing (which number of the window counts); ${suggestion('', TAKES)}`);
    }
    const take = group.word('take', TAKES) as Take | undefined;
    if (take === undefined) return undefined;
    const kind = kindOf(take);
    this.keysFit(kind, take);
    const status = this.status(kind);
    const signal = status?.signal ?? this.signal(kind);
    const window = this.window(kind);
    const part = group.word('of', PARTS);
    const start = { name: String(group.from.name), take, ...window, ...this.against(kind) } as const;
    if (signal === undefined) return undefined;
    const drawn: CheckSpec = { ...start, signal, part, order: this.order() };
    const unit = drawn.against ? differenceUnit(kind.unit(drawn)) : kind.unit(drawn);
    const level = signalUnit(drawn);
    const spec: CheckSpec = {
      ...drawn,
      above: this.amount('above', level),
      below: this.amount('below', level),
      through: this.amount('through', level),
      play: this.play(differenceUnit(level)),
      code: status?.code,
      codeName: status?.name,
      ...this.limits(kind, unit),
      requirements: readRequirements(group),
    };
    this.sense(spec);
    return Object.freeze(spec);
  }

  private keysFit(kind: CheckKind, take: Take): void {
    const { group } = this;
    const allowed = keysOf(kind);
    for (const key of [...OWN_KEYS, 'against'] as const) {
      if (group.has(key) && !allowed.includes(key)) {
        const why = `'take: ${take}' has no key '${key}'; ${suggestion(key, allowed)}`;
        group.fail(group.at(key), why, true);
      }
    }
    for (const needed of kind.needs) {
      if (needed.some((key) => group.has(key))) continue;
      const one = needed.length === 1 ? `key '${needed[0]}' is missing` : `name one of ${needed.join(', ')}`;
      group.fail(group.path, `${one}; 'take: ${take}' is the ${kind.takes[take]}`);
    }
  }

  private signal(kind: CheckKind): SignalId | undefined {
    const { group } = this;
    if (!kind.keys.includes('signal') || !group.has('signal')) return undefined;
    return SIGNALS.find(({ id }) => id === group.from.signal)?.id;
  }

  private status(kind: CheckKind): { signal: SignalId; code: number; name: string } | undefined {
    const { group } = this;
    const named = STATUS_KEYS.filter((key) => kind.keys.includes(key) && group.has(key));
    if (named.length === 0) return undefined;
    const [key] = named;
    if (named.length > 1) group.refuse(named[1], `a check looks at one of ${STATUS_KEYS.join(', ')}`);
    for (const other of ['signal', 'above', 'below'] as const) {
      if (group.has(other)) group.refuse(other, `'${key}' says what is looked at; '${other}' does not go with it`);
    }
    const { signal, codes } = STATUS_CODES[key];
    const name = group.from[key];
    if (typeof name === 'number' && Number.isInteger(name) && name >= 128 && name <= 255) {
      if (key !== 'gates') return { signal, code: name, name: String(name) };
    }
    if (typeof name !== 'string' || !Object.hasOwn(codes, name)) {
      const own = key === 'gates' ? '' : ', and 128 to 255, the own codes of a board';
      return group.refuse(
        key,
        `${describe(name)} is not known here; ${suggestion(String(name), Object.keys(codes))}${own}`,
      );
    }
    return { signal, code: codes[name], name };
  }

  private window(kind: CheckKind): Pick<CheckSpec, 'from_s' | 'to_s' | 'afterFault' | 'runEnd_s'> {
    const { group, around } = this;
    const { duration_s } = around;
    const afterFault = this.afterFault(kind);
    const begins_s = this.beginsAt(afterFault);
    const from_s = group.quantity('from', 'moment') ?? 0;
    const to_s = group.quantity('to', 'moment') ?? (afterFault === undefined ? duration_s : Number.POSITIVE_INFINITY);
    const end = `the end of the run at ${duration_s} s`;
    if (Number.isFinite(to_s) && begins_s + to_s > duration_s + 1e-9) {
      group.refuse('to', `${describe(group.from.to)} is after ${end}`);
    }
    if (begins_s + from_s > Math.min(begins_s + to_s, duration_s)) {
      group.refuse('from', `${describe(group.from.from)} is after the end of the window`);
    }
    const last_s = Math.min(begins_s + to_s, duration_s) - begins_s - from_s;
    if (kind.longest_s !== undefined && last_s > kind.longest_s + 1e-9) {
      const why = `the window lasts ${Number(last_s.toPrecision(6))} s; allowed are ${kind.longest_s} s`;
      group.fail(group.path, `${why}, named by 'from' and 'to'`);
    }
    return afterFault === undefined ? { from_s, to_s } : { from_s, to_s, afterFault, runEnd_s: duration_s };
  }

  private afterFault(kind: CheckKind): number | undefined {
    const { group, around } = this;
    if (!group.has('after fault')) {
      if (kind.fromFault)
        group.fail(group.path, "key 'after fault' is missing (number of the fault that it counts from)");
      return undefined;
    }
    const number = group.from['after fault'];
    if (typeof number !== 'number' || !Number.isInteger(number)) return undefined;
    const { length } = around.faults;
    if (number >= 1 && number <= length) return number - 1;
    const allowed = length === 0 ? 'the scenario has no fault' : `allowed is 1 to ${length}`;
    return group.refuse('after fault', `${number} is no fault of the scenario; ${allowed}`);
  }

  /** When the fault begins, as far as the file says it; 0 for no fault, and the earliest for one that waits for a condition. */
  private beginsAt(afterFault: number | undefined): number {
    const begin = afterFault === undefined ? undefined : this.around.faults[afterFault]?.begin;
    if (begin === undefined) return 0;
    return begin.kind === 'at' ? begin.at_s : begin.from_s;
  }

  private against(kind: CheckKind): { against?: 'twin' } {
    const { group, around } = this;
    const against = group.word('against', ['twin'] as const);
    if ((against || kind.takes.deviation) && around.faults.length === 0) {
      group.fail(group.path, 'the scenario has no fault, so that its twin would be the same run');
    }
    return against && kind.againstTwin ? { against } : {};
  }

  private order(): number | undefined {
    const order = this.group.from.order;
    return typeof order === 'number' ? order : undefined;
  }

  private amount(key: string, unit: NumberUnit): number | undefined {
    const { group } = this;
    return group.has(key) ? this.si(key, unit.read(group.from[key])) : undefined;
  }

  private play(unit: NumberUnit): number | undefined {
    const play = this.amount('play', unit);
    return play !== undefined && play < 0 ? this.group.refuse('play', 'allowed is 0 and more') : play;
  }

  private limits(kind: CheckKind, unit: NumberUnit): Pick<CheckSpec, 'atLeast' | 'atMost'> {
    const { group } = this;
    const [atLeast, atMost] = LIMITS.map((key) => this.amount(key, unit));
    if (!LIMITS.some((key) => group.has(key))) {
      if (kind.usual) return kind.usual;
      group.fail(group.path, "a limit is missing; name 'at least' or 'at most'");
    }
    if (atLeast !== undefined && atMost !== undefined && atLeast > atMost) {
      const { from } = group;
      group.refuse(
        'at least',
        `${describe(from['at least'])} is above 'at most' ${describe(from['at most']).replace(/^'|'$/g, '')}; nothing can pass`,
      );
    }
    return { atLeast, atMost };
  }

  /** What its own keys make impossible. */
  private sense(spec: CheckSpec): void {
    const { above, below } = spec;
    if (above !== undefined && below !== undefined && above >= below) {
      this.group.refuse('above', `it is not less than 'below'; no value lies between the two`);
    }
  }

  private si(key: string, read: QuantityResult): number | undefined {
    return read.ok ? read.si : this.group.refuse(key, read.why);
  }
}
