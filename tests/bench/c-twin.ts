/** Builds winding.c with whatever C compiler the machine has, and runs it. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Timing, timingOf } from './measure.ts';

const SOURCE = fileURLToPath(new URL('./winding.c', import.meta.url));
const COMPILERS = ['cc', 'gcc', 'clang'];

export interface TwinRun {
  readonly compiler: string;
  readonly timing: Timing;
  readonly end: readonly number[];
}

/** First C compiler that answers, with the first line of its version; undefined when there is none. */
function findCompiler(): { command: string; version: string } | undefined {
  for (const command of COMPILERS) {
    const { status, stdout } = spawnSync(command, ['--version'], { encoding: 'utf8' });
    if (status === 0) return { command, version: stdout.split('\n')[0] };
  }
  return undefined;
}

/** Builds and runs; undefined without a compiler. Throws Error with the words of the compiler when it refuses. */
export function runTwin(defines: readonly string[], batches: number): TwinRun | undefined {
  const compiler = findCompiler();
  if (!compiler) return undefined;
  const folder = mkdtempSync(join(tmpdir(), 'winding-'));
  try {
    const program = join(folder, 'winding');
    // No contraction: a fused multiply-add would round differently from TypeScript.
    const flags = ['-std=c99', '-O3', '-ffp-contract=off', `-DBATCHES=${batches}`, ...defines];
    const built = spawnSync(compiler.command, [...flags, SOURCE, '-o', program], { encoding: 'utf8' });
    if (built.status !== 0) throw new Error(`${compiler.command} refused winding.c:\n${built.stderr}`);
    const { status, stdout, stderr } = spawnSync(program, { encoding: 'utf8' });
    if (status !== 0) throw new Error(`winding.c ended with ${status}: ${stderr}`);
    const [times, end] = stdout.trim().split('end ');
    return {
      compiler: `${compiler.command} (${compiler.version})`,
      timing: timingOf(times.trim().split(/\s+/).map(Number)),
      end: end.trim().split(/\s+/).map(Number),
    };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
