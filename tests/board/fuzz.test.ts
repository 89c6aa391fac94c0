/**
 * The receivers of the C kit and its decoders under noise and damage (fuzz.c): on every machine as WebAssembly, and where gcc
 * and its run-time libraries for it are, under the address and undefined-behaviour sanitizers. Ten million sequences:
 * build as below and run `fuzz 10000000 1`.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PASS, poissonBand } from '../protocol/fuzz-traffic.ts';
import { compileToWasm, kitSources, STRICT, wasiCommand } from '../support/c-build.ts';
import { BOARD } from '../support/c-native.ts';

const UNITS = ['phantom_framing.c', 'phantom_hello.c', 'phantom_board.c'];
const SANITIZERS = ['-O1', '-g', '-fsanitize=address,undefined', '-fno-sanitize-recover=all'];
const driver = fileURLToPath(new URL('./fuzz.c', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'phantom-fuzz-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function gcc(name: string, ...args: string[]) {
  const program = join(folder, name);
  const { status, stderr } = spawnSync('gcc', [`-I${BOARD}`, ...STRICT, ...SANITIZERS, ...args, '-o', program]);
  return { program, words: `${status} ${stderr}` };
}

/** Whether gcc and its sanitizers work here: both are in the Debian package gcc. */
const hasSanitizers = (() => {
  writeFileSync(join(folder, 'probe.c'), 'int main(void) { return 0; }\n');
  const { program, words } = gcc('probe', join(folder, 'probe.c'));
  return words.startsWith('0') && spawnSync(program).status === 0;
})();

/** Figures of each of the two runs, and those at the end. */
function figuresOf(stdout: string): Record<string, number>[] {
  const blocks = stdout.split(/(?=^messages |^decoded )/m);
  return blocks.map((block) =>
    Object.fromEntries(
      block
        .trim()
        .split('\n')
        .map((line) => [line.split(' ')[0], Number(line.split(' ')[1])]),
    ),
  );
}

function expectGood(stdout: string, sequences: number): void {
  const [stream, messages, end] = figuresOf(stdout);
  for (const run of [stream, messages]) {
    expect(run).toMatchObject({ sequences: sequences / 2, lostUntouched: 0, boardDiffers: 0 });
    expect(run.mostLost).toBeLessThanOrEqual(2);
    expect(run.lost).toBeGreaterThan(run.sent / 10); // the faults do their work
    // What passes of packets of chance follows a Poisson law; its band is left one time in a million.
    expect(run.falseOther + run.falseFlipped).toBeLessThanOrEqual(poissonBand(run.candidates * PASS).most);
    const band = poissonBand(run.shaped * PASS);
    expect(run.falseShaped).toBeGreaterThanOrEqual(band.least);
    expect(run.falseShaped).toBeLessThanOrEqual(band.most);
  }
  expect(messages.falseFlipped).toBe(0); // up to three bits never pass (tests/verification/framing.test.ts)
  expect(end.decoded).toBeGreaterThan(sequences / 4);
}

describe('C kit under noise and damage', () => {
  let wasm = '';
  beforeAll(async () => {
    const sources = { ...kitSources(), 'fuzz.c': readFileSync(driver, 'utf8') };
    wasm = wasiCommand(await compileToWasm('fuzz', sources, ['fuzz.c', ...UNITS]), '200000', '2');
  });

  it('loses what was hit, at most two frames a fault, and makes none up: 200 000 sequences', () => {
    const { status, stdout, stderr } = spawnSync(wasm, { shell: true, encoding: 'utf8' });
    expect(`${status} ${stderr}`).toBe('0 ');
    console.log(JSON.stringify(figuresOf(stdout)));
    expectGood(stdout, 200_000);
  });

  if (hasSanitizers) {
    const units = UNITS.map((name) => join(BOARD, name));

    it('touches no memory but its own and does nothing undefined', () => {
      const { program, words } = gcc('fuzz', driver, ...units);
      expect(words).toBe('0 ');
      const { status, stdout, stderr } = spawnSync(program, ['200000', '3'], { encoding: 'utf8' });
      expect(`${status} ${stderr}`).toBe('0 ');
      expectGood(stdout, 200_000);
    });

    it('does so too with a receive buffer that holds no long text', () => {
      const { program, words } = gcc('fuzz-small', '-DPHANTOM_RECEIVE_MOST=PHANTOM_SCENE_SIZE', driver, ...units);
      expect(words).toBe('0 ');
      const { status, stderr } = spawnSync(program, ['100000', '4'], { encoding: 'utf8' });
      expect(`${status} ${stderr}`).toBe('0 ');
    });

    it('would be caught if it did not look at its bounds', () => {
      const sound = readFileSync(join(BOARD, 'phantom_framing.c'), 'utf8');
      const careless = sound.replace('r->length < sizeof r->buffer', 'r->length < 60000u');
      expect(careless).not.toBe(sound);
      writeFileSync(join(folder, 'careless.c'), careless);
      const { program, words } = gcc('careless', driver, join(folder, 'careless.c'), ...units.slice(1));
      expect(words).toBe('0 ');
      const { status, stderr } = spawnSync(program, ['10000', '3'], { encoding: 'utf8' });
      expect(status).not.toBe(0);
      expect(stderr).toMatch(/runtime error|AddressSanitizer/);
    });
  }
});
