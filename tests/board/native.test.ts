/**
 * The kit with the compilers of this machine, where there are any: without a word under strict flags, and served over
 * TCP, which the WebAssembly build cannot. The other tests of the kit need no compiler.
 */
import { type ChildProcess, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { openTcpLink } from '../../src/links/node-tcp.ts';
import { acceptedByHost } from '../../src/protocol/accepted.ts';
import { blankDrive, blankSense, encodeSense } from '../../src/protocol/codec.ts';
import { DRIVE, SENSE, SENSE_BOOT, SENSE_HALL_SHIFT, SENSE_IN } from '../../src/protocol/frames.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { compileToWasm, kitSources, STRICT } from '../support/c-build.ts';
import { BOARD, missing, startServer } from '../support/c-native.ts';
import { KIT_FOLDERS, starterUnits } from '../support/c-starter.ts';
import { seededInt } from '../support/seeded.ts';

const compilers = ['gcc', 'clang'].filter((name) => missing(name).length === 0);
const folder = mkdtempSync(join(tmpdir(), 'phantom-kit-'));
const started: ChildProcess[] = [];
afterAll(() => {
  for (const child of started) child.kill();
  rmSync(folder, { recursive: true, force: true });
});

const SANITIZERS = ['-O1', '-g', '-fsanitize=address,undefined,float-cast-overflow', '-fno-sanitize-recover=all'];

/** Sense frames of which some hold what no pin reads, and some are damaged; a boot now and then. */
function wildFrames(count: number): Uint8Array {
  const draw = seededInt(2024);
  const sender = new StreamSender(64);
  const parts: Uint8Array[] = [];
  let tick = 0xffff_f000;
  for (let k = 0; k < count; k++) {
    tick = (tick + (draw(50) === 0 ? draw(2 ** 32) : 1)) >>> 0;
    const flags = ((1 + draw(6)) << SENSE_HALL_SHIFT) | SENSE_IN | (draw(500) === 0 ? SENSE_BOOT : 0);
    const near = () => 2048 + draw(200) - 100;
    const sense = {
      ...blankSense(),
      tick,
      flags,
      ia: near(),
      ib: near(),
      ic: near(),
      link: 2000,
      trigger: 3000,
      hallAge: draw(5000),
    };
    if (draw(300) === 0)
      for (const key of WILD) if (draw(4) === 0) sense[key] = draw(3) === 0 ? 0xffff * draw(2) : draw(0x10000);
    const frame = sender.wrap(SENSE.id, encodeSense(sense, sender.packet, PAYLOAD_AT)).slice();
    if (draw(4) === 0) frame[draw(frame.length)] ^= 1 << draw(8);
    parts.push(draw(40) === 0 ? frame.subarray(0, draw(frame.length)) : frame);
  }
  return new Uint8Array(Buffer.concat(parts));
}
const WILD = ['flags', 'ia', 'ib', 'ic', 'link', 'trigger', 'hallAge'] as const;

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
        cwd: BOARD,
      });
      expect(`${built.status} ${built.stderr}`).toBe('0 ');
      const { child, place } = await startServer(program);
      started.push(child);
      for (let drill = 0; drill < 2; drill++) {
        const link = await openTcpLink(place.slice('tcp:'.length));
        const drive = blankDrive(link.hello.watch.length);
        for (let tick = 1; tick <= 50; tick++) {
          expect(await link.exchange({ ...blankSense(), tick }, drive)).toBe('ok');
          expect(drive.tick).toBe(tick);
        }
        await link.close();
      }
    });

    it(`${compiler} with sanitizers: both controllers take wild readings and damaged frames without a word`, () => {
      const program = join(folder, `checked-${compiler}`);
      const units = starterUnits(kitSources());
      const args = ['-I.', ...KIT_FOLDERS, ...STRICT, ...SANITIZERS, '-o', program, ...units];
      const built = spawnSync(compiler, args, { cwd: BOARD });
      expect(`${built.status} ${built.stderr}`).toBe('0 ');
      const input = wildFrames(20_000);
      for (const kind of [[], ['--foc']]) {
        const { status, stdout, stderr } = spawnSync(program, kind, { input, maxBuffer: 2 ** 26 });
        expect(`${status} ${stderr}`).toBe('0 ');
        let driving = 0;
        const receiver = new StreamReceiver(acceptedByHost(), (id, bytes) => {
          if (id === DRIVE.id && bytes[PAYLOAD_AT + 4] !== 0) driving++;
        });
        receiver.push(new Uint8Array(stdout));
        // Offsets take 128 ticks of some 500 from boot to boot; trips end some of the rest.
        expect(driving).toBeGreaterThan(20_000 / 10);
      }
    });
  }
});
