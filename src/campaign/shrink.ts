/**
 * From a scenario that fails to the smallest that still fails in the same way: faults and entries that do not matter are
 * taken out, sizes are lowered, numbers are rounded, the run is shortened. What is left is what a person has to look at.
 *
 * Scheme: greedy, pass after pass, until a pass changes nothing: each change is tried alone and kept when the same check
 * still fails. The result is small, not surely the smallest of all: two changes that only work together are not tried.
 */
import { FAULTS } from '../faults/catalogue.ts';
import { toDisplay } from '../units/convert.ts';
import type { Written } from './campaign.ts';
import type { PlayedIn } from './conduct.ts';
import type { PointResult, Value } from './results.ts';
import { readWritten, writeValue } from './written.ts';

type Content = Record<string, unknown>;
type Result = Pick<PointResult, 'verdict' | 'checks' | 'why'>;

/** Plays the content of a scenario; one that is refused is a result too. */
export type Play = (content: unknown) => Promise<Pick<PlayedIn, 'played'>>;

export interface ShrinkOptions {
  /** Check that must go on failing; the first that fails when undefined. */ readonly check: string | undefined;
  /** Runs that are allowed. */ readonly most: number;
  /** Told of each change that is kept. */ readonly told?: (what: string) => void;
}

export interface Shrunk {
  readonly content: unknown;
  /** Check that fails, or 'controller lost'. */ readonly fails: string;
  readonly runs: number;
  /** What was changed, one sentence each, in the order in which it was kept. */ readonly changes: readonly string[];
  /** Why it ended. */ readonly ended: string;
}

/** How often a size is halved towards what holds. */
const HALVINGS = 6;
/** Digits of a size or a duration that is lowered. */
const LOWERED_DIGITS = 2;
/** Digits that numbers are rounded to, the coarsest first. */
const DIGITS = [1, 2, 3] as const;

/**
 * Shrinks. Rejects with RangeError when the scenario does not fail, or not in the check that is named.
 */
export async function shrink(content: unknown, play: Play, options: ShrinkOptions): Promise<Shrunk> {
  const { most } = options;
  const { played } = await play(content);
  const fails = failureOf(played, options.check);
  const work = new Work(structuredClone(content) as Content, fails, play, options);
  await work.onlyCheck();
  let ended = '';
  while (ended === '') {
    const before = work.changes.length;
    await work.takeOut();
    await work.lowerSizes();
    await work.shorten();
    await work.round();
    if (work.runs >= most) ended = `${most} runs are all that were allowed`;
    else if (work.changes.length === before) ended = 'no change that is left keeps it failing';
  }
  return { content: work.content, fails, runs: work.runs, changes: work.changes, ended };
}

function failureOf({ verdict, checks, why }: Result, check: string | undefined): string {
  if (check === undefined && verdict === 'controller lost') return verdict;
  const failing = checks.filter((each) => each.verdict === 'fail').map(({ name }) => name);
  if (check !== undefined && failing.includes(check)) return check;
  if (check === undefined && failing.length > 0) return failing[0];
  const what = check === undefined ? 'no check fails' : `'${check}' does not fail`;
  const others = failing.length > 0 ? `; failing are ${failing.join(', ')}` : '';
  throw new RangeError(`there is nothing to shrink: ${what} (${verdict}${why === '' ? '' : `, ${why}`})${others}`);
}

class Work {
  content: Content;
  runs = 1;
  readonly changes: string[] = [];
  private readonly fails: string;
  private readonly play: Play;
  private readonly options: ShrinkOptions;

  constructor(content: Content, fails: string, play: Play, options: ShrinkOptions) {
    this.content = content;
    this.fails = fails;
    this.play = play;
    this.options = options;
  }

  /** Other checks say nothing about this one: without them other things can go too. */
  async onlyCheck(): Promise<void> {
    const own = list(this.content.checks).filter((check) => record(check).name === this.fails);
    if (own.length !== 1 || own.length === list(this.content.checks).length) return;
    await this.attempt('other checks are taken out', (content) => {
      content.checks = own;
    });
  }

  /** Faults, entries of the timeline, then keys that can be left out. */
  async takeOut(): Promise<void> {
    for (const group of ['faults', 'timeline']) {
      for (let k = list(this.content[group]).length - 1; k >= 0; k--) {
        const entry = record(list(this.content[group])[k]);
        const name = group === 'faults' ? `fault ${String(entry.fault)}` : `timeline entry at ${String(entry.at)}`;
        await this.attempt(`${name} is taken out`, (content) => {
          list(content[group]).splice(k, 1);
          if (group === 'faults' && list(content[group]).length === 0) delete content[group];
        });
      }
    }
    for (const place of places(this.content)) {
      if (!OPTIONAL.some((key) => place.at(-1) === key)) continue;
      await this.attempt(`${text(place)} is taken out`, (content) => {
        const holder = holderOf(content, place);
        if (holder) delete holder[place.at(-1) as string];
      });
    }
  }

  async lowerSizes(): Promise<void> {
    for (let k = 0; k < list(this.content.faults).length; k++) {
      const fault = record(list(this.content.faults)[k]);
      const size = FAULTS[String(fault.fault)]?.size;
      if (!size) continue;
      const written =
        'size' in fault ? readWritten(fault.size) : { number: toDisplay(size.usual, size.show), unit: size.show };
      if (!written) continue;
      // A size that the catalogue does not allow is refused, which counts as not failing: the search stays above it.
      await this.lower(written, `fault ${String(fault.fault)} is lowered`, (content, value) => {
        record(list(content.faults)[k]).size = value;
      });
    }
  }

  /** Ends the run soon after the check has failed. */
  async shorten(): Promise<void> {
    const written = readWritten(this.content.duration);
    if (!written) return;
    await this.lower(written, 'the run is shortened', (content, value) => {
      content.duration = value;
    });
  }

  /** Rounds, then halves towards zero; numbers of two digits only, so that each is lower than the last and it ends. */
  private async lower(
    { number, unit }: Written,
    what: string,
    put: (content: Content, value: Value) => void,
  ): Promise<void> {
    const attempt = (to: number) => {
      const value = writeValue(to, unit);
      return this.attempt(`${what} to ${value}`, (content) => put(content, value));
    };
    let [holds, failing] = [0, number];
    const round = rounded(number, LOWERED_DIGITS);
    if (round !== number && (await attempt(round))) failing = round;
    for (let turn = 0; turn < HALVINGS; turn++) {
      const middle = rounded((holds + failing) / 2, LOWERED_DIGITS);
      if (Math.abs(middle) >= Math.abs(failing) || middle === holds) break;
      if (await attempt(middle)) failing = middle;
      else holds = middle;
    }
  }

  /** Every other number with a unit: one digit if that fails too, else two, else three. */
  async round(): Promise<void> {
    for (const place of places(this.content)) {
      // Sizes and the duration were rounded where they were lowered.
      if (place[0] === 'checks' || place.at(-1) === 'size' || place.at(-1) === 'duration') continue;
      const value = holderOf(this.content, place)?.[place.at(-1) as string];
      const written = typeof value === 'string' ? readWritten(value) : undefined;
      if (!written || written.unit === '') continue;
      for (const digits of DIGITS) {
        const number = rounded(written.number, digits);
        if (number === written.number) break;
        const to = writeValue(number, written.unit);
        const kept = await this.attempt(`${text(place)} is rounded from ${String(value)} to ${to}`, (content) => {
          const holder = holderOf(content, place);
          if (holder) holder[place.at(-1) as string] = to;
        });
        if (kept) break;
      }
    }
  }

  /** Keeps the change when the run still fails in the same way; one that the scenario does not take does not. */
  private async attempt(what: string, change: (content: Content) => void): Promise<boolean> {
    if (this.runs >= this.options.most) return false;
    const changed = structuredClone(this.content);
    change(changed);
    if (JSON.stringify(changed) === JSON.stringify(this.content)) return false;
    this.runs++;
    const { played } = await this.play(changed);
    const same =
      this.fails === 'controller lost'
        ? played.verdict === 'controller lost'
        : played.checks.some(({ name, verdict }) => name === this.fails && verdict === 'fail');
    if (!same) return false;
    this.content = changed;
    this.changes.push(what);
    this.options.told?.(what);
    return true;
  }
}

/** Keys without which an entry is simpler. */
const OPTIONAL = ['intermittent', 'ramp', 'for', 'over', 'ambient', 'push', 'wrist', 'span', 'clutch', 'grip', 'board'];

type Path = readonly (string | number)[];

/** Every key of the content that stands in a group, with the way to it. */
function places(content: unknown, way: Path = []): Path[] {
  if (Array.isArray(content)) return content.flatMap((each, k) => places(each, [...way, k]));
  if (typeof content !== 'object' || content === null) return [];
  return Object.entries(content).flatMap(([key, value]) => [[...way, key], ...places(value, [...way, key])]);
}

/** The group that holds the last key of the way; undefined when a change has taken it out. */
function holderOf(content: unknown, way: Path): Content | undefined {
  let here = content;
  for (const step of way.slice(0, -1)) here = (here as Record<string | number, unknown> | undefined)?.[step];
  return typeof here === 'object' && here !== null ? (here as Content) : undefined;
}

/** The place as campaigns name it, counted from one. */
const text = (way: Path): string => way.map((step) => (typeof step === 'number' ? step + 1 : step)).join('.');

const rounded = (number: number, digits: number): number => Number(number.toPrecision(digits));

function record(value: unknown): Content {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Content) : {};
}

function list(value: unknown): unknown[] {
  return Array.isArray(value) ? value : [];
}
