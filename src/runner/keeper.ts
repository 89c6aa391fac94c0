/**
 * Keeps the state of objects and puts it back, so that a run goes on from a moment bit by bit as it did before.
 *
 * Method  walks the graph of own fields from its roots: numbers, booleans, strings, null, undefined, arrays, typed arrays, plain
 *         objects, instances of classes. A snapshot is the values of every object it met; restoring writes them into the same
 *         objects. Arrays may grow and shrink, objects may come and go.
 * Refuses what it cannot see into, rather than keep half of it: a function in a field (it may close over state), an accessor, a
 *         field behind a '#', maps, sets, promises, buffers and whatever else the platform makes. State that a module holds in a
 *         variable of its own is beyond any look from outside; nobody who is kept may have it.
 * Leaves  alone what it is told to (`apart`): what keeps itself, as the plant does, or never changes.
 */

type Fields = Record<string, unknown>;
type Numbers = { length: number; slice(): Numbers; set(from: never): void };

interface Kept {
  readonly object: object;
  readonly values: unknown[] | Numbers;
  /** Names of the fields; none for an array and for numbers. */ readonly keys: readonly string[] | undefined;
}

/** What one look at the objects saw. */
export type Snapshot = readonly Kept[];

const TypedArray = Object.getPrototypeOf(Uint8Array) as () => void;

export class Keeper {
  private readonly roots: readonly object[];
  private readonly apart: ReadonlySet<object>;
  private readonly sound = new WeakSet<object>();

  /** Throws TypeError naming the field when a root reaches something that cannot be kept. */
  constructor(roots: readonly object[], apart: readonly object[] = []) {
    this.roots = roots;
    this.apart = new Set(apart);
    this.save();
  }

  /** Throws TypeError when something that cannot be kept has come in since. */
  save(): Snapshot {
    const out: Kept[] = [];
    const seen = new Set<object>(this.apart);
    for (const root of this.roots) this.visit(root, nameOf(root), seen, out);
    return out;
  }

  restore(snapshot: Snapshot): void {
    for (const { object, values, keys } of snapshot) {
      if (keys) {
        const to = object as Fields;
        for (let k = 0; k < keys.length; k++) to[keys[k]] = (values as unknown[])[k];
        if (Object.keys(to).length > keys.length)
          for (const key of Object.keys(to)) if (!keys.includes(key)) delete to[key];
      } else if (Array.isArray(object)) {
        object.length = values.length;
        for (let k = 0; k < values.length; k++) object[k] = (values as unknown[])[k];
      } else (object as Numbers).set(values as never);
    }
  }

  private visit(object: object, path: string, seen: Set<object>, out: Kept[]): void {
    if (seen.has(object)) return;
    seen.add(object);
    if (object instanceof TypedArray) {
      const numbers = object as unknown as Numbers;
      out.push({ object, values: numbers.slice(), keys: undefined });
    } else if (Array.isArray(object)) {
      if (!Object.isFrozen(object)) out.push({ object, values: object.slice(), keys: undefined });
      for (let k = 0; k < object.length; k++) this.look(object[k], `${path}[${k}]`, seen, out);
    } else {
      if (!this.sound.has(object)) requireSound(object, path);
      this.sound.add(object);
      const keys = Object.keys(object);
      const values = keys.map((key) => (object as Fields)[key]);
      if (!Object.isFrozen(object)) out.push({ object, values, keys });
      for (let k = 0; k < keys.length; k++) this.look(values[k], `${path}.${keys[k]}`, seen, out);
    }
  }

  private look(value: unknown, path: string, seen: Set<object>, out: Kept[]): void {
    if (typeof value === 'object' && value !== null) this.visit(value, path, seen, out);
    else if (typeof value === 'function') throw refusal(path, 'is a function, and what it closes over cannot be seen');
    else if (typeof value === 'symbol') throw refusal(path, 'is a symbol');
  }
}

function requireSound(object: object, path: string): void {
  const tag = Object.prototype.toString.call(object);
  if (tag !== '[object Object]') throw refusal(path, `is ${tag.slice(8, -1)}, and what it holds cannot be seen`);
  if (Object.getOwnPropertySymbols(object).length > 0) throw refusal(path, 'has a field that is named by a symbol');
  for (const [key, { get, set, enumerable }] of Object.entries(Object.getOwnPropertyDescriptors(object))) {
    if (get || set) throw refusal(`${path}.${key}`, 'is an accessor');
    if (!enumerable) throw refusal(`${path}.${key}`, 'is hidden');
  }
  for (let of = Object.getPrototypeOf(object); of !== null && of !== Object.prototype; of = Object.getPrototypeOf(of)) {
    const source = Function.prototype.toString.call(of.constructor);
    if (!source.startsWith('class')) throw refusal(path, 'was made by what is no class');
    if (HIDDEN.test(source)) throw refusal(path, `is of class ${of.constructor.name}, which has fields behind a '#'`);
  }
}

/** A private name in use: this.#x, or a declaration. */
const HIDDEN = /(?:\.|[{;}\n]\s*)#[A-Za-z_$]/;

function refusal(path: string, why: string): TypeError {
  return new TypeError(`${path} ${why}; allowed are numbers, booleans, strings, arrays, plain objects and instances`);
}

function nameOf(root: object): string {
  return root.constructor?.name || 'object';
}
