/** Runs the command line as a user does: a process of its own, from outside. */
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface Ended {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

const TSX = ['--import', 'tsx', 'src/cli/main.ts'];

/** Runs `sim ARGS` to its end. */
export function sim(...args: string[]): Promise<Ended> {
  return new Promise((ended, failed) => {
    const env = { ...process.env, NO_COLOR: '1', CI: '1' };
    const child = spawn(process.execPath, [...TSX, ...args], { env, stdio: ['ignore', 'pipe', 'pipe'] });
    let out = '';
    let err = '';
    child.stdout.on('data', (chunk) => {
      out += chunk;
    });
    child.stderr.on('data', (chunk) => {
      err += chunk;
    });
    child.once('error', failed);
    child.once('close', (code) => ended({ code, out, err }));
  });
}

/** A folder of its own under the temporary one. */
export const folder = (): string => mkdtempSync(join(tmpdir(), 'sim-'));

/** Writes a scenario file and returns its path. */
export function scenarioFile(into: string, name: string, text: string): string {
  const path = join(into, name);
  writeFileSync(path, text);
  return path;
}

export const json = (path: string) => JSON.parse(readFileSync(path, 'utf8'));

/** A press of 60 ms; the limit decides whether it passes. */
export const pressText = (atLeast: string): string => `# Shows a short press.
title: A short press
drill: bench-18
seed: 2
duration: 60 ms
timeline:
  - { at: 5 ms, trigger: 40 % }
checks:
  - { name: it turns, signal: chuckSpeed, take: largest, at least: ${atLeast} }
`;

/** The command that starts a controller which goes wrong. */
export const wayward = (way: string, tick = 300): string =>
  `exec:${process.execPath} --import tsx tests/cli/wayward-controller.ts ${way} ${tick}`;
