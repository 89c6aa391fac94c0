/**
 * Coming back to the same board after its link was lost. Which board it is, its Hello says, never the port: a port that is
 * plugged in again is another object, and two equal boards look alike to the system.
 *
 * Each round opens what there is, one after the other, and listens to the Hello. The pause between rounds grows; a hint that
 * something was plugged in ends it early.
 */
import type { Hello } from '../protocol/hello.ts';
import { LinkLostError, SetUpError } from './errors.ts';
import { pause } from './within.ts';

/** What makes a board the same one; the firmware may have been changed meanwhile. */
export type Identity = Pick<Hello, 'board' | 'uid' | 'firmware' | 'version'>;

/** What is needed of a link. */
export interface Joinable {
  readonly name: string;
  readonly hello: Hello;
  close(): Promise<void>;
}

/** A place where the board may be. */
export interface Opener<L extends Joinable> {
  readonly name: string;
  /** Opens, greets, waits for Hello. Rejects with SetUpError or LinkLostError. */
  open(): Promise<L>;
}

interface Found<L> {
  readonly name: string;
  readonly link: L;
}

export type Rejoined<L> =
  | { readonly outcome: 'joined'; readonly link: L; readonly rounds: number }
  /** It is the board, with other firmware. The link is open; a run that goes on with it is no longer the same run. */
  | { readonly outcome: 'firmware changed'; readonly link: L; readonly rounds: number; readonly words: string }
  /** Several answer as this board: the person must say which. All are closed. */
  | { readonly outcome: 'ask the person'; readonly names: readonly string[]; readonly words: string }
  | { readonly outcome: 'given up'; readonly words: string };

export interface RejoinOptions {
  /** How long to try [s]. */ readonly within_s?: number;
  /** Ends it early, as given up. */ readonly signal?: AbortSignal;
  /** Hears what a person should know, each thing once. */ readonly onWords?: (words: string) => void;
  /** Calls back when something was plugged in; returns the end of it. */
  readonly onHint?: (hear: () => void) => () => void;
  /** Waits; default: a timer. */ readonly wait?: (time_ms: number, signal: AbortSignal) => Promise<void>;
  /** Clock [ms]; default: that of the system. */ readonly now_ms?: () => number;
}

const WITHIN_S = 60;
/** Pause after the first round, doubled after each, up to the longest [ms]. */
const PAUSE_FIRST_MS = 250;
const PAUSE_MOST_MS = 4000;

/** Looks for the board until it answers, several do, or the time is up. Never rejects; all links but the one given are closed. */
export async function rejoin<L extends Joinable>(
  wanted: Identity,
  places: () => Promise<readonly Opener<L>[]>,
  options: RejoinOptions = {},
): Promise<Rejoined<L>> {
  const { within_s = WITHIN_S, signal, onWords, wait = pause, now_ms = () => performance.now() } = options;
  const said = new Set<string>();
  const say = (words: string): void => {
    if (!said.has(words)) onWords?.(words);
    said.add(words);
  };
  const until_ms = now_ms() + within_s * 1000;
  let pause_ms = PAUSE_FIRST_MS;
  for (let rounds = 1; ; rounds++) {
    const found = await round(wanted, places, say, signal);
    if (signal?.aborted) await Promise.all(found.map(({ link }) => link.close()));
    const result = signal?.aborted ? undefined : await judge(wanted, found, rounds);
    if (result) return result;
    const left_ms = until_ms - now_ms();
    if (signal?.aborted || left_ms <= 0) {
      const why = signal?.aborted ? 'it was called off' : `it did not answer within ${within_s} s`;
      const rest = said.size === 0 ? '' : `; ${[...said].join('; ')}`;
      return { outcome: 'given up', words: `${wanted.board} ${wanted.uid}: ${why}${rest}` };
    }
    await rest(Math.min(pause_ms, left_ms), wait, signal, options.onHint);
    pause_ms = Math.min(2 * pause_ms, PAUSE_MOST_MS);
  }
}

/** Opens every place once; the links whose board is the wanted one, by the names of their places. */
async function round<L extends Joinable>(
  wanted: Identity,
  places: () => Promise<readonly Opener<L>[]>,
  say: (words: string) => void,
  signal: AbortSignal | undefined,
): Promise<Found<L>[]> {
  const found: Found<L>[] = [];
  for (const place of await places().catch(() => [])) {
    if (signal?.aborted) break;
    try {
      const link = await place.open();
      if (link.hello.board === wanted.board && link.hello.uid === wanted.uid) {
        found.push({ name: place.name, link });
        continue;
      }
      const { board, uid } = link.hello;
      say(`${place.name}: another board answers, ${board} ${uid}; waited for is ${wanted.board} ${wanted.uid}`);
      await link.close();
    } catch (error) {
      // Not there yet is what one waits for; a Hello of another version is worth a word.
      const lost = error instanceof LinkLostError ? error.loss.cause : undefined;
      if (lost === 'wrong version' || lost === 'bad hello') say((error as Error).message);
      else if (!lost && !(error instanceof SetUpError)) say(`${place.name}: ${(error as Error).message}`);
    }
  }
  return found;
}

/** What the links found mean; undefined: go on. */
async function judge<L extends Joinable>(
  wanted: Identity,
  found: readonly Found<L>[],
  rounds: number,
): Promise<Rejoined<L> | undefined> {
  if (found.length === 0) return undefined;
  const [{ name, link }] = found;
  if (found.length > 1) {
    await Promise.all(found.map((each) => each.link.close()));
    const names = found.map((each) => each.name);
    const words = `${names.join(' and ')} both say that they are ${wanted.board} ${wanted.uid}: choose the one to go on with`;
    return { outcome: 'ask the person', names, words };
  }
  const { firmware, version } = link.hello;
  if (firmware === wanted.firmware && version === wanted.version) return { outcome: 'joined', link, rounds };
  const words = `${name}: ${wanted.board} ${wanted.uid} is back with other firmware: ${firmware}, before ${wanted.firmware}`;
  return { outcome: 'firmware changed', link, rounds, words };
}

/** Waits, until a hint or the end of it all. */
async function rest(
  time_ms: number,
  wait: NonNullable<RejoinOptions['wait']>,
  signal: AbortSignal | undefined,
  onHint: RejoinOptions['onHint'],
): Promise<void> {
  const early = new AbortController();
  const end = (): void => early.abort();
  const unhint = onHint?.(end);
  signal?.addEventListener('abort', end);
  if (!signal?.aborted) await wait(time_ms, early.signal);
  signal?.removeEventListener('abort', end);
  unhint?.();
}
