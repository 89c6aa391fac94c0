/**
 * The kit with the compilers of this machine, where there are any: without a word under strict flags, and served over
 * TCP, which the WebAssembly build cannot. The other tests of the kit need no compiler.
 */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { openTcpLink } from '../../src/links/node-tcp.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { compileToWasm, kitSources, STRICT } from '../support/c-build.ts';
import { KIT_FOLDERS, starterUnits } from '../support/c-starter.ts';

const kit = fileURLToPath(new URL('../../src/board/', import.meta.url));
const compilers = ['gcc', 'clang'].filter((name) => spawnSync(name, ['--version']).status === 0);
const folder = mkdtempSync(join(tmpdir(), 'phantom-kit-'));
const started: ChildProcess[] = [];
afterAll(() => {
  for (const child of started) child.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as { port: number };
  await new Promise((resolve) => server.close(resolve));
  return port;
}

/** Connects as soon as the program listens. */
async function reach(place: string) {
  for (let k = 0; ; k++) {
    try {
      return await openTcpLink(place);
    } catch (error) {
      if (k > 100) throw error;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }
}

describe('kit with strict compilers', () => {
  it('the flags do refuse: a narrowing assignment does not compile', async () => {
    const narrow = { 'narrow.c': 'int main(int n, char **v) { (void)v; unsigned char c = n; return c; }\n' };
    await expect(compileToWasm('narrow', narrow, ['narrow.c'])).rejects.toThrow('-Wimplicit-int-conversion');
  });

  it('each header stands alone', async () => {
    // Those of the processor ports hold instructions of theirs.
    const headers = Object.keys(kitSources()).filter((name) => /^(\w+|starter\/\w+|ports\/posix\/\w+)\.h$/.test(name));
    const units = headers.map((name, k) => [`alone${k}.c`, `#include "${name}"\nextern int unit${k};\n`] as const);
    const main = { 'main.c': 'int main(void) { return 0; }\n' };
    const sources = { ...kitSources(), ...Object.fromEntries(units), ...main };
    await compileToWasm('alone', sources, [...units.map(([name]) => name), 'main.c'], KIT_FOLDERS);
  });

  for (const compiler of compilers) {
    it(`${compiler} builds the starter, which serves one drill after another over TCP`, async () => {
      const program = join(folder, `starter-${compiler}`);
      const units = starterUnits(kitSources());
      const built = spawnSync(compiler, ['-I.', ...KIT_FOLDERS, ...STRICT, '-O2', '-o', program, ...units], {
        cwd: kit,
      });
      expect(`${built.status} ${built.stderr}`).toBe('0 ');
      const port = await freePort();
      started.push(spawn(program, ['--listen', String(port)], { stdio: 'ignore' }));
      for (let drill = 0; drill < 2; drill++) {
        const link = await reach(`localhost:${port}`);
        const drive = blankDrive(link.hello.watch.length);
        for (let tick = 1; tick <= 50; tick++) {
          expect(await link.exchange({ ...blankSense(), tick }, drive)).toBe('ok');
          expect(drive.tick).toBe(tick);
        }
        await link.close();
      }
    });
  }
});
