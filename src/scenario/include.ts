/**
 * `include`: parts of a scenario from other files of the same folder tree. What is included comes first and the file itself
 * after it: lists follow each other, groups are joined key by key, a value that stands twice is that of the file itself.
 * Every error keeps the file and the line in which it stands.
 *
 * Paths are relative to the file that names them, with '/', and never leave the tree: a scenario may come from someone else.
 * This file opens nothing; whoever loads a scenario hands over what reads.
 */
import { migrate } from './migrate.ts';
import { describe } from './quantity.ts';
import { type Content, list, record } from './reader.ts';
import { type Path, type Problem, readSource, type Source } from './source.ts';

export interface Including {
  /** Place of the scenario below the root of the tree, such as 'bridge/open.yaml'. */ readonly at: string;
  /** Text of a file at a place below the root, and its name for messages. Throws Error with the reason when it cannot. */
  read(place: string): { readonly text: string; readonly file: string };
}

/** Longest chain of files, and most files of one scenario. */
export const INCLUDE_DEPTH_MOST = 4;
export const INCLUDED_MOST = 20;

/** Keys whose entries follow each other. */
export const JOINED_LISTS = ['timeline', 'faults', 'checks', 'requirements'] as const;

/** One file, brought up to the newest version. */
export interface Part {
  readonly file: string;
  readonly source: Source;
  readonly content: Content;
}

export interface Gathered {
  /** The scenario itself is the last one. */ readonly parts: readonly Part[];
  readonly problems: readonly Problem[];
}

/** Reads a text and all that it includes. Never throws. */
export function gather(text: string, file: string, including?: Including): Gathered {
  const gathering = new Gathering(including);
  const own = gathering.part(text, file);
  if (own) gathering.take(own, including ? [including.at] : []);
  return gathering;
}

class Gathering implements Gathered {
  readonly parts: Part[] = [];
  readonly problems: Problem[] = [];
  private readonly including: Including | undefined;
  private count = 0;

  constructor(including: Including | undefined) {
    this.including = including;
  }

  /** One file without what it includes; undefined when it has no content to go on with. */
  part(text: string, file: string): Part | undefined {
    const source = readSource(text, file);
    this.problems.push(...source.problems);
    if (source.problems.length > 0) return undefined;
    if (source.content === undefined || source.content === null) {
      const why = 'the file is empty; a scenario has at least title, drill, duration, timeline';
      this.problems.push({ file, line: 1, text: why });
      return undefined;
    }
    const content = record(source.content);
    if (content !== source.content) {
      this.problems.push({
        file,
        line: 1,
        text: `${describe(source.content)} does not fit; allowed is a group of keys`,
      });
      return undefined;
    }
    const migrated = migrate(content);
    if (migrated.ok) return { file, source, content: migrated.content };
    this.problems.push({ file, line: source.lineOf(['format']), text: `format: ${migrated.why}` });
    return undefined;
  }

  /** Takes what a part includes, then the part. @param chain places from the scenario down to this part */
  take(part: Part, chain: readonly string[]): void {
    const { include } = part.content;
    list(include).forEach((name, k) => {
      if (typeof name === 'string') this.include(part, name, k, chain);
    });
    this.parts.push(part);
  }

  private include(part: Part, name: string, item: number, chain: readonly string[]): void {
    const found = this.find(name, chain);
    if (typeof found !== 'string') {
      const included = this.part(found.text, found.file);
      if (included) this.take(included, [...chain, found.place]);
    } else if (found !== '') {
      const line = part.source.lineOf(['include', item]);
      this.problems.push({ file: part.file, line, text: `include entry ${item + 1}: ${found}` });
    }
  }

  /** The file that is meant, or what is wrong with it in words; '' when that was told before. */
  private find(name: string, chain: readonly string[]): { text: string; file: string; place: string } | string {
    const { including } = this;
    if (!including) return 'nothing can be included here: the text came without its folder';
    const place = placeBelow(chain[chain.length - 1], name);
    if (place === undefined) {
      const allowed = "allowed is a path to a .yaml file below the scenario folder, relative to this file, with '/'";
      return `${describe(name)} is refused; ${allowed}`;
    }
    if (chain.includes(place)) return `the files include each other in a circle: ${[...chain, place].join(' > ')}`;
    if (chain.length > INCLUDE_DEPTH_MOST) {
      return `${chain.length} files include each other in a row; allowed are ${INCLUDE_DEPTH_MOST}`;
    }
    if (++this.count > INCLUDED_MOST) {
      return this.count > INCLUDED_MOST + 1 ? '' : `more than ${INCLUDED_MOST} files; allowed are ${INCLUDED_MOST}`;
    }
    try {
      return { ...including.read(place), place };
    } catch (error) {
      return `${describe(name)} cannot be read: ${(error as Error).message}`;
    }
  }
}

/** Place of a path that is relative to a file; undefined when it is none or leaves the tree. */
export function placeBelow(from: string, path: string): string | undefined {
  // Letters that no file name of a scenario needs are left out: drives, other separators, control characters.
  if (path === '' || path.length > 200 || !/^[\p{L}\p{N} ._/-]+$/u.test(path) || path.startsWith('/')) return undefined;
  const steps = from.split('/').slice(0, -1);
  for (const step of path.split('/')) {
    if (step === '..') {
      if (steps.pop() === undefined) return undefined;
    } else if (step !== '.' && step !== '') steps.push(step);
  }
  return steps.length > 0 && /\.ya?ml$/.test(path) ? steps.join('/') : undefined;
}

/** All parts as one content, which knows where each piece of it stands. */
export class Merged {
  readonly content: Content;
  private readonly origins = new Map<string, { readonly part: Part; readonly path: Path }>();
  private readonly own: Part;

  constructor(parts: readonly Part[]) {
    const content: Record<string, unknown> = {};
    for (const part of parts) {
      for (const [key, value] of Object.entries(part.content)) this.put(content, part, key, value);
    }
    this.own = parts[parts.length - 1];
    this.content = content;
  }

  /** The part in which something stands, and its path there. */
  locate(path: Path): { readonly part: Part; readonly path: Path } {
    const [key, item, ...rest] = path;
    const inner = item === undefined ? undefined : this.origins.get(`${key}\n${item}`);
    if (inner) return { part: inner.part, path: [...inner.path, ...rest] };
    const outer = this.origins.get(String(key));
    return outer ? { part: outer.part, path } : { part: this.own, path };
  }

  /** Whether something stands in the file itself, or nowhere. */
  isOwn(path: Path): boolean {
    return this.locate(path).part === this.own;
  }

  private put(content: Record<string, unknown>, part: Part, key: string, value: unknown): void {
    if (key === 'include' || key === 'format') return;
    const before = Object.hasOwn(content, key) ? content[key] : undefined;
    this.origins.set(key, { part, path: [key] });
    if ((JOINED_LISTS as readonly string[]).includes(key) && Array.isArray(value)) {
      const start = list(before);
      value.forEach((_, k) => {
        this.origins.set(`${key}\n${start.length + k}`, { part, path: [key, k] });
      });
      define(content, key, [...start, ...value]);
    } else if (record(value) === value) {
      for (const inner of Object.keys(value)) this.origins.set(`${key}\n${inner}`, { part, path: [key, inner] });
      define(content, key, { ...record(before), ...value });
    } else define(content, key, value);
  }
}

/** Sets an own key, also one that means something else to an object, such as __proto__. */
function define(content: Record<string, unknown>, key: string, value: unknown): void {
  Object.defineProperty(content, key, { value, enumerable: true, configurable: true, writable: true });
}
