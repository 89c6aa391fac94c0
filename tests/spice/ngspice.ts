/** Runs ngspice in batch mode on a deck and takes out of its points what the `*>` lines of the deck ask for. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type DeckResults, deckHash, deckText, FOLDER } from './deck.ts';

/** Digits that are kept: some more than the plant is compared with. */
const DIGITS = 9;

/** Version of the ngspice on this machine. Throws Error when there is none. */
export function ngspiceVersion(): string {
  const { stdout, error } = spawnSync('ngspice', ['--version'], { encoding: 'utf8' });
  if (error)
    throw new Error(`ngspice does not start (${error.message}); install it, on Debian: apt-get install ngspice`);
  const found = /ngspice-(\S+)/.exec(stdout)?.[1];
  if (!found) throw new Error(`ngspice --version says no version:\n${stdout}`);
  return found;
}

/** Columns of a transient run by name, lower case as ngspice writes them; `time` first. */
type Points = ReadonlyMap<string, Float64Array>;

/** Runs a deck and extracts what it asks for. Throws Error with the words of ngspice when it fails. */
export function runDeck(name: string): DeckResults {
  const folder = mkdtempSync(join(tmpdir(), 'spice-'));
  try {
    const raw = join(folder, 'points.raw');
    const run = spawnSync('ngspice', ['-b', '-r', raw, `${name}.cir`], { cwd: FOLDER, encoding: 'utf8' });
    const words = `${run.stdout}\n${run.stderr}`;
    if (run.status !== 0 || /\b(error|aborted|too small)\b/i.test(words)) {
      throw new Error(`ngspice failed on ${name}.cir:\n${words}`);
    }
    return extract(name, parseRaw(readFileSync(raw)));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A raw file of ngspice: a header in text, then a row of doubles per time point. */
function parseRaw(file: Buffer): Points {
  const mark = 'Binary:\n';
  const start = file.indexOf(mark);
  const head = file.subarray(0, start).toString('latin1');
  const count = Number(/^No\. Points:\s*(\d+)/m.exec(head)?.[1]);
  const names = [...head.matchAll(/^\t\d+\t(\S+)\t/gm)].map(([, name = '']) => name);
  const bytes = start + mark.length;
  if (start < 0 || !(count > 1) || file.length < bytes + 8 * count * names.length) {
    throw new Error(`ngspice wrote no whole transient run:\n${head}`);
  }
  const columns = new Map(names.map((name) => [name, new Float64Array(count)]));
  let at = bytes;
  for (let n = 0; n < count; n++) {
    for (const name of names) {
      columns.get(name)![n] = file.readDoubleLE(at);
      at += 8;
    }
  }
  return columns;
}

function extract(name: string, points: Points): DeckResults {
  const numbers: Record<string, number> = {};
  const wave: Record<string, number[]> = {};
  for (const [line, rest = ''] of deckText(name).matchAll(/^\*>\s*(.*)$/gm)) {
    const mean = /^mean (\w+) = (\S+) from (\S+) to (\S+)$/.exec(rest);
    const at = /^at (\w+) = (\S+) (\S+)$/.exec(rest);
    const many = /^(wave|means)(?: (\w+))? from (\S+) to (\S+) step (\S+) : (.*)$/.exec(rest);
    if (mean) {
      const [, key = '', column = '', from, to] = mean;
      const span = Number(to) - Number(from);
      numbers[key] = round((integral(points, column, Number(to)) - integral(points, column, Number(from))) / span);
    } else if (at) {
      const [, key = '', column = '', t] = at;
      numbers[key] = round(valueAt(points, column, Number(t)));
    } else if (many) {
      const [, kind, label, from, to, step, columns = ''] = many;
      const times = grid(Number(from), Number(to), Number(step));
      if (kind === 'wave') wave[label ? `${label}_t_s` : 't_s'] = times;
      for (const pair of columns.split(/\s+/)) {
        const [key = '', column = ''] = pair.split('=');
        wave[key] =
          kind === 'wave' ? times.map((t) => round(valueAt(points, column, t))) : means(points, column, times);
      }
    } else throw new Error(`${name}.cir: '${line}' is none of mean, at, wave, means`);
  }
  return { hash: deckHash(name), numbers, wave };
}

/** Times from one to another, both included, free of the dust of adding up. */
function grid(from: number, to: number, step: number): number[] {
  const count = Math.round((to - from) / step);
  return Array.from({ length: count + 1 }, (_, k) => Number((from + k * step).toPrecision(9)));
}

/** Mean between each time and the next. */
function means(points: Points, column: string, times: readonly number[]): number[] {
  const sums = times.map((t) => integral(points, column, t));
  return times.slice(1).map((t, k) => round((sums[k + 1] - sums[k]) / (t - times[k])));
}

const round = (value: number): number => Number(value.toPrecision(DIGITS));

function column(points: Points, name: string): Float64Array {
  // A raw file names the current of a source either way.
  const found = points.get(name) ?? points.get(name.replace(/^i\((.*)\)$/, '$1#branch'));
  if (!found) throw new Error(`ngspice saved no ${name}; it saved ${[...points.keys()].join(', ')}`);
  return found;
}

/** Index of the last point at or before t, by halving. */
function before(time: Float64Array, t: number): number {
  let low = 0;
  let high = time.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (time[middle] <= t) low = middle;
    else high = middle;
  }
  return low;
}

function valueAt(points: Points, name: string, t: number): number {
  const time = column(points, 'time');
  const y = column(points, name);
  const k = before(time, t);
  const share = Math.min(1, Math.max(0, (t - time[k]) / (time[k + 1] - time[k])));
  return y[k] + share * (y[k + 1] - y[k]);
}

/** Integral from the start to t by trapezoids. */
function integral(points: Points, name: string, t: number): number {
  const time = column(points, 'time');
  const y = column(points, name);
  const last = before(time, t);
  let sum = 0;
  for (let k = 0; k < last; k++) sum += 0.5 * (y[k] + y[k + 1]) * (time[k + 1] - time[k]);
  return sum + 0.5 * (y[last] + valueAt(points, name, t)) * (t - time[last]);
}
