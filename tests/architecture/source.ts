/** Reads the repository's own TypeScript: which files there are, what they import, what they say outside comments. */
import { readdirSync, readFileSync } from 'node:fs';
import { posix } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('../../', import.meta.url));

/** Every .ts file below the given folders, as paths from the root, sorted. */
export function sources(...folders: string[]): string[] {
  return folders
    .flatMap((folder) =>
      readdirSync(`${ROOT}${folder}`, { recursive: true, encoding: 'utf8' }).map((f) => `${folder}/${f}`),
    )
    .map((path) => path.replaceAll('\\', '/'))
    .filter((path) => path.endsWith('.ts') && !path.includes('node_modules/'))
    .sort();
}

export const read = (path: string): string => readFileSync(ROOT + path, 'utf8');

/** The text with every comment blanked; strings and line numbers stay. */
export function withoutComments(text: string): string {
  let out = '';
  let quote = '';
  for (let k = 0; k < text.length; k++) {
    const two = text.slice(k, k + 2);
    if (quote !== '') {
      if (text[k] === '\\') out += text[k++];
      else if (text[k] === quote || (text[k] === '\n' && quote !== '`')) quote = '';
      out += text[k] ?? '';
    } else if (two === '//') {
      while (k < text.length && text[k] !== '\n') k++;
      out += '\n';
    } else if (two === '/*') {
      const end = text.indexOf('*/', k + 2);
      const stop = end < 0 ? text.length : end + 2;
      out += text.slice(k, stop).replace(/[^\n]/g, ' ');
      k = stop - 1;
    } else {
      if (`'"\``.includes(text[k])) quote = text[k];
      out += text[k];
    }
  }
  return out;
}

export interface Import {
  /** Module as written. */ readonly from: string;
  /** Path from the root when it is one of ours, else ''. */ readonly path: string;
  /** Only types are taken. */ readonly typesOnly: boolean;
}

const STATEMENT = /\b(import|export)\s+(type\s+)?(?:[^'"`;()]*?\bfrom\s*)?['"]([^'"]+)['"]/g;
const CALL = /\bimport\s*\(\s*(['"`])([^'"`]+)\1/g;

/** Every import, export from and import() of a source text that lies at `path`. */
export function importsOf(path: string, text: string): Import[] {
  const code = withoutComments(text);
  const found: Import[] = [];
  const add = (from: string, typesOnly: boolean) => {
    const own = from.startsWith('.') ? posix.normalize(posix.join(posix.dirname(path), from)) : '';
    found.push({ from, path: own, typesOnly });
  };
  for (const [, , type, from] of code.matchAll(STATEMENT)) add(from, type !== undefined);
  for (const [, , from] of code.matchAll(CALL)) add(from, false);
  return found;
}
