/**
 * Circuit decks for ngspice, and the numbers that it found for them.
 *
 * Deck    tests/spice/<name>.cir: a title, comments, elements, `.tran`. Lines that begin with `*>` are comments to ngspice
 *         and tell run.ts what to keep: `*> mean NAME = v(node) from T to T`, `*> at NAME = i(vsource) T`,
 *         `*> wave from T to T step T : NAME=v(node) NAME=i(vsource)` for samples, their times in `t_s`, or in
 *         `LABEL_t_s` after `*> wave LABEL`; `*> means` with the same words for the mean of every interval. Between the points of ngspice quantities go in straight lines.
 * Results tests/spice/results.json, written by `npm run spice`, with a hash of every deck and of what it includes: a deck
 *         that was edited without new results is found out without ngspice.
 */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export const FOLDER = fileURLToPath(new URL('./', import.meta.url));
export const RESULTS = `${FOLDER}results.json`;

export interface DeckResults {
  /** SHA-256 of the deck and of what it includes, 16 digits. */ readonly hash: string;
  readonly numbers: Readonly<Record<string, number>>;
  /** Samples, at the times `t_s`, and means of intervals; empty when the deck asks for none. */
  readonly wave: Readonly<Record<string, readonly number[]>>;
}

export interface Results {
  /** Version of ngspice that made them. */ readonly ngspice: string;
  readonly decks: Readonly<Record<string, DeckResults>>;
}

/** Names of all decks, sorted. */
export function deckNames(): string[] {
  return readdirSync(FOLDER)
    .filter((file) => file.endsWith('.cir'))
    .map((file) => file.slice(0, -4))
    .sort();
}

export function deckText(name: string): string {
  return readFileSync(`${FOLDER}${name}.cir`, 'utf8');
}

/** Hash over the text of a deck and of the files that it includes. */
export function deckHash(name: string): string {
  const text = deckText(name);
  const hash = createHash('sha256').update(text);
  for (const [, file = ''] of text.matchAll(/^\.include\s+(\S+)/gm)) {
    hash.update(readFileSync(`${FOLDER}${file}`, 'utf8'));
  }
  return hash.digest('hex').slice(0, 16);
}

/** Values of the `.param` lines of a deck that are plain numbers; a test takes them over instead of copying them. */
export function deckParams(name: string): Readonly<Record<string, number>> {
  const out: Record<string, number> = {};
  for (const [, line = ''] of deckText(name).matchAll(/^\.param\s+(.*)$/gm)) {
    for (const [, key = '', value = ''] of line.matchAll(/(\w+)=([-+.\deE]+)(?=\s|$)/g)) out[key] = Number(value);
  }
  return out;
}

export function readResults(): Results {
  return JSON.parse(readFileSync(RESULTS, 'utf8')) as Results;
}

export interface Deck extends DeckResults {
  readonly params: Readonly<Record<string, number>>;
}

/** Parameters and results of a deck, for a test. Throws Error when a number is asked for that is not there. */
export function deck(name: string): Deck {
  const found = readResults().decks[name];
  if (!found) throw new Error(`results.json has no deck '${name}'; run npm run spice`);
  return {
    hash: found.hash,
    numbers: strict(`numbers of ${name}`, found.numbers),
    wave: strict(`wave of ${name}`, found.wave),
    params: strict(`parameters of ${name}`, deckParams(name)),
  };
}

/** The same record, but a name that it lacks throws instead of making NaN. */
function strict<T>(what: string, record: Readonly<Record<string, T>>): Readonly<Record<string, T>> {
  return new Proxy(record, {
    get(target, key) {
      if (typeof key !== 'string' || key in target) return Reflect.get(target, key);
      throw new Error(`${what}: no '${key}'; there are ${Object.keys(target).join(', ')}`);
    },
  });
}
