/** The C kit with the tools of this machine, where there are any. */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** Folder of the kit. */
export const BOARD = fileURLToPath(new URL('../../src/board/', import.meta.url));

/** Names the commands that this machine lacks. */
export function missing(...commands: readonly string[]): string[] {
  return commands.filter((name) => spawnSync(name, ['--version']).error !== undefined);
}

/** Runs a Makefile of the kit, which lies in a folder below src/board, for programs in a folder of the caller. */
export function make(below: string, into: string, ...args: string[]): void {
  const made = spawnSync('make', ['-C', `${BOARD}${below}`, `OUT=${into}`, ...args], { encoding: 'utf8' });
  if (made.status !== 0 || made.stderr !== '') throw new Error(`make: ${made.error?.message ?? made.stderr}`);
}

/** Starts a program of the kit on any free port; `place` is the one that it prints, e.g. tcp:127.0.0.1:40123. */
export async function startServer(program: string, ...args: string[]) {
  const child: ChildProcess = spawn(program, [...args, '--listen', '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
  const place = await new Promise<string>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', (code) => reject(new Error(`${program} ended with ${code} before it listened`)));
    child.stdout?.once('data', (chunk) => resolve(String(chunk).trim()));
  });
  return { child, place };
}
