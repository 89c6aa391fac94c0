/**
 * The Stream adapter with the C++ compilers of this machine, where there are any: without a word under strict flags as
 * C++11, and with the answers of the same firmware on standard streams, byte for byte. The sketch too.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { blankSense, encodeGreet, encodeSense } from '../../src/protocol/codec.ts';
import { GREET, PROTOCOL_VERSION, SENSE, SENSE_BOOT, SENSE_IN } from '../../src/protocol/frames.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamSender } from '../../src/protocol/stream.ts';
import { kitSources } from '../support/c-build.ts';
import { BOARD, missing } from '../support/c-native.ts';
import { KIT_FOLDERS, starterCommand, starterUnits } from '../support/c-starter.ts';
import { hex } from '../support/hex.ts';

const folder = mkdtempSync(join(tmpdir(), 'phantom-stream-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const FLAGS = [
  '-Wall',
  '-Wextra',
  '-Wpedantic',
  '-Wconversion',
  '-Werror',
  '-O2',
  '-I.',
  '-Iports/arduino',
  ...KIT_FOLDERS,
];
const pairs = [
  ['gcc', 'g++'],
  ['clang', 'clang++'],
].filter((pair) => missing(...pair).length === 0);
const units = starterUnits(kitSources()).filter((name) => !name.startsWith('ports/'));

function compile(command: string, ...args: string[]): void {
  const { status, stderr } = spawnSync(command, args, { cwd: BOARD });
  expect(`${status} ${stderr}`).toBe('0 ');
}

/** Links a C++ unit with the kit and the starter, each in its own language. */
function build(cc: string, cxx: string, name: string, text: string): string {
  const objects = units.map((unit) => {
    const object = join(folder, `${cc}-${unit.replace('/', '-')}.o`);
    compile(cc, ...FLAGS, '-std=c99', '-c', unit, '-o', object);
    return object;
  });
  const source = join(folder, `${name}.cpp`);
  writeFileSync(source, text);
  const program = join(folder, `${cc}-${name}`);
  compile(cxx, ...FLAGS, '-std=c++11', source, ...objects, '-o', program);
  return program;
}

function traffic(): Uint8Array {
  const sender = new StreamSender(300);
  const parts = [sender.wrap(GREET.id, encodeGreet({ version: PROTOCOL_VERSION }, sender.packet, PAYLOAD_AT)).slice()];
  for (let tick = 0; tick < 400; tick++) {
    const flags = SENSE_IN | (1 << 3) | (tick === 0 ? SENSE_BOOT : 0);
    const trigger = tick < 150 ? 410 : 3000;
    const sense = { ...blankSense(), tick, flags, trigger, ia: 2050, ib: 2040, ic: 2047, link: 2000, hallAge: 0xffff };
    parts.push(sender.wrap(SENSE.id, encodeSense(sense, sender.packet, PAYLOAD_AT)).slice());
  }
  return new Uint8Array(Buffer.concat(parts));
}

describe('Stream adapter', () => {
  it('asks for nothing but the kit: no header of a board, no heap, no wait', () => {
    const text = readFileSync(join(BOARD, 'ports/arduino/phantom_stream.h'), 'utf8').replace(/\/\*[\s\S]*?\*\//g, '');
    expect([...text.matchAll(/#include (.*)/g)].map(([, name]) => name)).toEqual(['"phantom_board.h"']);
    expect(text).not.toMatch(/\b(new|malloc|delay|millis|micros|std::)\b/);
  });

  for (const [cc, cxx] of pairs) {
    it(`${cxx}: gives the answers of the same firmware on standard streams, flushed frame by frame`, async () => {
      const fake = build(cc, cxx, 'fake', readFileSync(new URL('./stream-fake.cpp', import.meta.url), 'utf8'));
      const input = traffic();
      const expected = spawnSync(await starterCommand(), { shell: true, input, maxBuffer: 2 ** 24 }).stdout;
      const { stdout, stderr } = spawnSync(fake, { input, maxBuffer: 2 ** 24 });
      expect(expected.length).toBeGreaterThan(400 * 20);
      expect(hex(new Uint8Array(stdout))).toBe(hex(new Uint8Array(expected)));
      // 401 frames came; a Hello unasked and one Note went out besides their answers.
      expect(stderr.toString()).toBe('401 0 403\n');
    });

    it(`${cxx}: counts what the object does not take, and does not hang`, () => {
      const fake = build(cc, cxx, 'fake', readFileSync(new URL('./stream-fake.cpp', import.meta.url), 'utf8'));
      const { status, stderr } = spawnSync(fake, ['--deaf'], { input: traffic(), timeout: 60_000 });
      expect(status).toBe(0);
      const [handled, unsent, flushes] = stderr.toString().trim().split(' ').map(Number);
      expect([handled, flushes]).toEqual([401, 0]);
      expect(unsent).toBeGreaterThan(400 * 20);
    });

    it(`${cxx}: compiles the sketch`, () => {
      const sketch = readFileSync(join(BOARD, 'ports/arduino/examples/Starter/Starter.ino'), 'utf8');
      const around = `#include <stddef.h>
#include <stdint.h>
struct Stream {
  virtual int available() { return 0; }
  virtual int read() { return -1; }
  virtual size_t write(const uint8_t *, size_t n) { return n; }
  virtual void flush() {}
  void begin(unsigned long) {}
  virtual ~Stream() {}
};
static Stream Serial;
void setup();
void loop();
${sketch}
int main() { setup(); for (int k = 0; k < 3; k++) loop(); return 0; }
`;
      expect(spawnSync(build(cc, cxx, 'sketch', around)).status).toBe(0);
    });
  }
});
