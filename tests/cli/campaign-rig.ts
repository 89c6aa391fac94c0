/** Small campaigns, and the command line as a process that can be killed. */
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { folder, scenarioFile } from './sim.ts';

/** A press of 50 ms; the limit lies where about half of the points below pass. */
const PRESS = `# Shows a short press with weak magnets.
title: A short press with weak magnets
drill: bench-18
seed: 2
duration: 50 ms
chuck: { gear: 1 }
timeline:
  - { at: 5 ms, trigger: 40 %, over: 5 ms }
faults:
  - { fault: magnet-weak, size: 3 %, at: 10 ms }
checks:
  - { name: it turns, signal: chuckSpeed, take: largest, at least: 100 rpm }
  - { name: not too fast, signal: chuckSpeed, take: largest, at most: 230 rpm }
`;

const FORTY = `title: Forty presses
scenario: press.yaml
draw: random
points: 40
vary:
  - { place: seed, from: 1, to: 1000000, whole: true }
  - { place: timeline.1.trigger, from: 30 %, to: 60 % }
  - { place: faults.1.size, from: 0 %, to: 20 % }
`;

export interface CampaignFolder {
  readonly path: string;
  readonly campaign: string;
  /** A path in the folder. */ at(name: string): string;
  /** Writes a further file. */ file(name: string, text: string): string;
}

export function campaignFolder(text = FORTY): CampaignFolder {
  const path = folder();
  scenarioFile(path, 'press.yaml', PRESS);
  const campaign = scenarioFile(path, 'forty.yaml', text);
  return { path, campaign, at: (name) => join(path, name), file: (name, more) => scenarioFile(path, name, more) };
}

export interface Running {
  readonly child: ChildProcess;
  readonly ended: Promise<{ code: number | null; signal: NodeJS.Signals | null; err: string }>;
}

/** Starts `sim ARGS` without waiting for its end. */
export function begin(...args: string[]): Running {
  const env = { ...process.env, NO_COLOR: '1', CI: '1' };
  const child = spawn(process.execPath, ['--import', 'tsx', 'src/cli/main.ts', ...args], {
    env,
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let err = '';
  child.stderr?.on('data', (chunk) => {
    err += chunk;
  });
  return { child, ended: new Promise((done) => child.once('close', (code, signal) => done({ code, signal, err }))) };
}

/** Waits until a file has this many lines. Throws when the process ends before. */
export async function lines(path: string, least: number, { child }: Running): Promise<void> {
  while (!existsSync(path) || readFileSync(path, 'utf8').split('\n').length <= least) {
    if (child.exitCode !== null) throw new Error(`it ended with ${child.exitCode} before ${path} had ${least} lines`);
    await new Promise((next) => setTimeout(next, 10));
  }
}
