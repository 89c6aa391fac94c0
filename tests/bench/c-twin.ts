/** Builds the C twin of the kernel with whatever C compiler the machine has, and runs it. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { kernelInC, mapMembers } from './kernel-to-c.ts';
import { type KernelStart, mainInC } from './kernel-work.ts';
import { type Timing, timingOf } from './measure.ts';

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
export function runTwin(begun: KernelStart, batches: number): TwinRun | undefined {
  const compiler = findCompiler();
  if (!compiler) return undefined;
  const folder = mkdtempSync(join(tmpdir(), 'kernel-'));
  try {
    const source = join(folder, 'kernel.c');
    const program = join(folder, 'kernel');
    const members = mapMembers(begun.map);
    writeFileSync(source, `${kernelInC(begun.map)}\n${mainInC(begun, members)}`);
    // No contraction: a fused multiply-add would round differently from TypeScript.
    const flags = ['-std=c99', '-O3', '-ffp-contract=off', `-DBATCHES=${batches}`];
    const built = spawnSync(compiler.command, [...flags, source, '-o', program], { encoding: 'utf8' });
    if (built.status !== 0) throw new Error(`${compiler.command} refused the C twin of kernel.ts:\n${built.stderr}`);
    const { status, stdout, stderr } = spawnSync(program, { encoding: 'utf8' });
    if (status !== 0) throw new Error(`the C twin ended with ${status}: ${stderr}`);
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
