/**
 * Compiles the C kit with the compiler that comes as an npm package (Clang built for WebAssembly), so that the tests
 * need none on the machine. Results are kept under node_modules/.cache by a hash of everything that went in.
 */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

type Tree = { [name: string]: Tree | string | Uint8Array };

const root = fileURLToPath(new URL('../../', import.meta.url));
const cache = join(root, 'node_modules/.cache/phantom-c');
const runner = join(root, 'tests/support/run-wasi.mjs');

/** Flags under which the kit must compile without a word. */
export const STRICT = ['-std=c99', '-Wall', '-Wextra', '-Wpedantic', '-Wconversion', '-Werror'];

/** The kit: path below src/board to text. */
export function kitSources(): Record<string, string> {
  const folder = join(root, 'src/board');
  const names = readdirSync(folder, { recursive: true }) as string[];
  const sources = names.filter((name) => /\.[ch]$/.test(name)).sort();
  return Object.fromEntries(sources.map((name) => [name, readFileSync(join(folder, name), 'utf8')]));
}

/**
 * Compiles and links the named .c files, which may include any of `sources`, to a WASI program and returns its path.
 * Throws Error with the words of the compiler when it refuses.
 */
export async function compileToWasm(
  label: string,
  sources: Readonly<Record<string, string>>,
  units: readonly string[],
  flags: readonly string[] = [],
): Promise<string> {
  const require = createRequire(import.meta.url);
  const version = readFileSync(join(dirname(require.resolve('@yowasp/clang')), '../package.json'), 'utf8');
  const args = ['-I.', ...STRICT, '-O2', ...flags, ...units, '-o', 'program.wasm'];
  const key = createHash('sha256')
    .update(JSON.stringify([version, args, sources]))
    .digest('hex')
    .slice(0, 16);
  const path = join(cache, `${label}-${key}.wasm`);
  if (existsSync(path)) return path;
  mkdirSync(cache, { recursive: true });
  const release = await turn(`${cache}/turn`);
  try {
    if (!existsSync(path)) {
      writeFileSync(`${path}.part`, await runCompiler(args, treeOf(sources)));
      renameSync(`${path}.part`, path); // never a half-written program under the final name
    }
  } finally {
    release();
  }
  return path;
}

/** Time after which a compiler that still holds its turn must have been killed [ms]. */
const TURN_MOST_MS = 60_000;

/** Waits until no other test process compiles: the compiler needs a processor and 100 MB. Returns the release. */
async function turn(folder: string): Promise<() => void> {
  for (;;) {
    try {
      mkdirSync(folder);
      return () => rmSync(folder, { recursive: true, force: true });
    } catch {
      const age_ms = Date.now() - (statSync(folder, { throwIfNoEntry: false })?.mtimeMs ?? Date.now());
      if (age_ms > TURN_MOST_MS) rmSync(folder, { recursive: true, force: true });
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
  }
}

/** Shell command that runs a WASI program under Node. */
export function wasiCommand(path: string, ...args: string[]): string {
  return [process.execPath, '--no-warnings', runner, path, ...args].map((each) => `'${each}'`).join(' ');
}

async function runCompiler(args: string[], files: Tree): Promise<Uint8Array> {
  const { Exit, runClang } = await import('@yowasp/clang' as string);
  const words: Uint8Array[] = [];
  const hear = (bytes: Uint8Array | null) => bytes && words.push(bytes.slice());
  try {
    const out = (await runClang(['clang', ...args], files, {
      stdout: hear,
      stderr: hear,
      fetchProgress: () => {},
    })) as Tree;
    return out['program.wasm'] as Uint8Array;
  } catch (error) {
    if (error instanceof Exit) throw new Error(`clang refused:\n${Buffer.concat(words).toString('utf8')}`);
    throw error;
  }
}

function treeOf(sources: Readonly<Record<string, string>>): Tree {
  const tree: Tree = {};
  for (const [path, text] of Object.entries(sources)) {
    const folders = path.split('/');
    const file = folders.pop()!;
    let at = tree;
    for (const folder of folders) {
      at[folder] ??= {};
      at = at[folder] as Tree;
    }
    at[file] = text;
  }
  return tree;
}
