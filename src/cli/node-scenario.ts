/**
 * Scenario files and what they include, from the disk. The tree that they may include from is the nearest folder named
 * `scenarios` above the file, else the folder of the file itself; links that lead out of it are not followed.
 */
import { lstatSync, readFileSync, realpathSync } from 'node:fs';
import { basename, dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import type { Including } from '../scenario/include.ts';
import { TEXT_MOST } from '../scenario/kinds.ts';
import { type LoadResult, loadScenario } from '../scenario/load.ts';

const TREE = 'scenarios';
/** A letter takes up to four bytes. */
const BYTES_MOST = 4 * TEXT_MOST;

/** Reads and loads a scenario file. Never throws: a file that cannot be read is a problem of its first line. */
export function loadScenarioFile(file: string): LoadResult {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch (error) {
    return { ok: false, problems: [{ file, line: 1, text: `cannot be read: ${(error as Error).message}` }] };
  }
  return loadScenario(text, file, includingFor(file));
}

/** What reads the files that a scenario file includes. */
export function includingFor(file: string): Including {
  const root = treeOf(resolve(file));
  const named = (path: string) => (isAbsolute(file) ? path : relative(process.cwd(), path) || path);
  return {
    at: relative(root, resolve(file)).split(sep).join('/'),
    read(place) {
      const path = join(root, ...place.split('/'));
      const real = realpathSync(path);
      if (!real.startsWith(realpathSync(root) + sep)) throw new Error('it lies outside the scenario folder');
      const { size } = regular(real);
      if (size > BYTES_MOST) throw new Error(`it has ${size} bytes; allowed are ${BYTES_MOST}`);
      return { text: readFileSync(real, 'utf8'), file: named(path) };
    },
  };
}

/** A pipe or a device would never come to its end. */
function regular(path: string): { readonly size: number } {
  const found = lstatSync(path);
  if (!found.isFile()) throw new Error('it is no file');
  return found;
}

function treeOf(file: string): string {
  const own = dirname(file);
  for (let folder = own; ; folder = dirname(folder)) {
    if (basename(folder) === TREE) return folder;
    if (folder === dirname(folder)) return own;
  }
}
