/**
 * Commands in README.md and DEVELOPERS.md work as printed.
 *
 * Every line of every `sh` block is run, but for two kinds that cannot run inside this very test: `npm ci` would delete the
 * modules under it, and `npm test` is this run; of those the script must exist. A server is run until it answers. Blocks
 * marked `needs=cc` run where a C compiler is found, those marked `needs=ngspice` where that is; those marked `needs=hour` take
 * an idle machine for longer than a test may, and another test runs them in short.
 */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

interface Line {
  readonly file: string;
  readonly command: string;
  readonly needs: string;
}

const FILES = ['README.md', 'DEVELOPERS.md'];

/** Lines of the `sh` blocks of a file. */
function linesOf(file: string): Line[] {
  const blocks = readFileSync(file, 'utf8').matchAll(/^```sh(?: needs=(\w+))?\n([\s\S]*?)^```/gm);
  return [...blocks].flatMap(([, needs = '', body = '']) =>
    body
      .split('\n')
      .filter((text) => text.trim() !== '')
      .map((command) => ({ file, command, needs })),
  );
}

const lines = FILES.flatMap(linesOf);
const scripts = (JSON.parse(readFileSync('package.json', 'utf8')) as { scripts: Record<string, string> }).scripts;
/** Programs that a block may need, and whether this machine has them. */
const HAS: Readonly<Record<string, boolean>> = {
  '': true,
  cc: spawnSync('cc', ['--version']).status === 0,
  hour: false,
  ngspice: spawnSync('ngspice', ['--version']).status === 0,
};
/** Run by this test's own runner, or destructive for it. */
const NOT_HERE = /^npm (ci|test)\b/;
const SERVES = /^npm start\b/;

/** Parts of a line joined by &&, those left out that cannot run here. */
function partsOf(command: string): string[] {
  return command.split('&&').map((part) => part.trim());
}

/** Waits for the address that a server prints, fetches it, and ends the server with all its children. */
async function serve(command: string): Promise<string> {
  const child: ChildProcess = spawn(`${command} -- --port 0`, { shell: true, detached: true });
  try {
    const address = await new Promise<string>((resolve, reject) => {
      let text = '';
      const take = (chunk: Buffer) => {
        text += chunk.toString();
        const found = /http:\/\/[\d.]+:\d+\//.exec(text);
        if (found) resolve(found[0]);
      };
      child.stdout?.on('data', take);
      child.stderr?.on('data', take);
      child.on('exit', (code) => reject(new Error(`'${command}' ended with ${code}:\n${text}`)));
    });
    return await (await fetch(address)).text();
  } finally {
    if (child.pid !== undefined) process.kill(-child.pid, 'SIGTERM');
  }
}

const runnable = lines.filter(
  ({ command, needs }) => HAS[needs] && partsOf(command).some((part) => !NOT_HERE.test(part)),
);

describe('documents', () => {
  it('print commands at all', () => {
    expect(lines.length).toBeGreaterThan(6);
  });

  it('need only programs that this test knows', () => {
    for (const { needs } of lines) expect(Object.keys(HAS)).toContain(needs);
  });

  it('name only scripts that exist', () => {
    for (const { command } of lines) {
      for (const part of partsOf(command)) {
        const name = /^npm (?:run )?(\w+)/.exec(part)?.[1] ?? '';
        if (part.startsWith('npm ')) expect(['ci', ...Object.keys(scripts)], part).toContain(name);
      }
    }
  });

  it('link only to files that exist', () => {
    for (const file of FILES) {
      for (const [, target = ''] of readFileSync(file, 'utf8').matchAll(/\]\((?!https?:)([^)#]+)\)/g)) {
        expect(existsSync(target), `${file}: ${target}`).toBe(true);
      }
    }
  });

  describe.each(runnable)('$file: $command', ({ command }) => {
    it('works', async () => {
      for (const part of partsOf(command).filter((text) => !NOT_HERE.test(text))) {
        if (SERVES.test(part)) {
          expect(await serve(part)).toContain('<title>');
          continue;
        }
        const done = spawnSync(part, { shell: true, encoding: 'utf8', timeout: 300_000 });
        expect(done.status, `${part}\n${done.stdout}\n${done.stderr}`).toBe(0);
      }
    }, 400_000);
  });
});
