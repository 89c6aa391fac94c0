/** The starter on the short scenario, through whatever link: what a run ends with. */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect } from 'vitest';
import { SetUpError } from '../../src/links/errors.ts';
import { type LinkPlace, linkPlace, openLink } from '../../src/links/node-kinds.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { misfits } from '../../src/runner/fit.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { type Outcome, play } from '../../src/runner/play.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { STRICT } from '../support/c-build.ts';

export const SHORT = 'scenarios/seat-screw-short.yaml';
export const BOARD = fileURLToPath(new URL('../../src/board/', import.meta.url));

export interface Run extends Outcome {
  /** Answers of the board. */ readonly answered: number;
  readonly board: string;
  readonly wall_s: number;
}

/**
 * Plays the short scenario with the board behind a link, e.g. tcp:127.0.0.1:5301. Throws Error when it never begins.
 * `starting`: the board may not listen yet.
 */
export async function runShort(controller: string, starting = false): Promise<Run> {
  const loaded = loadScenario(readFileSync(SHORT, 'utf8'), SHORT);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
  const { scenario } = loaded;
  const drill = PRESETS[scenario.drill];
  const place = linkPlace(controller);
  if (!place) throw new Error(`${controller}: no kind of link`);
  const link = await (starting ? patiently(() => open(place)) : open(place));
  try {
    const board = boardFor(drill, {});
    expect(misfits(link.hello, board, drill)).toEqual([]);
    const bench = new LockStepBench({ drill, board, seed: scenario.seed, h_s: scenario.step_s, link });
    const began_ms = performance.now();
    const outcome = await play(scenario, bench, { progress: () => new Promise((next) => setImmediate(next)) });
    const wall_s = (performance.now() - began_ms) / 1000;
    return { ...outcome, answered: link.counters.answered, board: link.hello.board, wall_s };
  } finally {
    await link.close();
  }
}

/** Far longer than a board takes: a busy machine is no fault of it. */
const open = (place: LinkPlace) => openLink(place, { hello_s: 30, answer_s: 30 });

/** Tries again while a program that was just started does not listen yet. */
async function patiently<T>(reach: () => Promise<T>): Promise<T> {
  for (let k = 0; ; k++) {
    try {
      return await reach();
    } catch (error) {
      if (!(error instanceof SetUpError) || k > 200) throw error;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }
}

/** Starts the C server of WebSocket on any free port; `address` is the one that it prints. */
export async function startWebSocketServer(program: string, ...args: string[]) {
  const child: ChildProcess = spawn(program, [...args, '--listen', '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
  const address = await new Promise<string>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', (code) => reject(new Error(`${program} ended with ${code} before it listened`)));
    child.stdout?.once('data', (chunk) => resolve(String(chunk).trim()));
  });
  return { child, address };
}

/** Compiles the starter for this machine with its own compiler, into a folder; `port` is one below src/board/ports. */
export function buildNative(into: string, port: string): string {
  const folders = ['.', 'starter', `ports/${port}`];
  const units = folders.flatMap((each) =>
    readdirSync(join(BOARD, each))
      .filter(isUnit)
      .map((name) => join(each, name)),
  );
  const program = join(into, `starter-${port}`);
  const flags = [...STRICT, '-O2', '-ffp-contract=off', ...folders.map((each) => `-I${each}`)];
  const built = spawnSync('gcc', [...flags, '-o', program, ...units], { cwd: BOARD, encoding: 'utf8' });
  if (built.status !== 0) throw new Error(`gcc: ${built.error?.message ?? built.stderr}`);
  return program;
}

const isUnit = (name: string): boolean => name.endsWith('.c');
