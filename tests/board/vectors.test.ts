/** The C kit makes and reads every entry of vectors.json; tests/protocol/vectors.test.ts does it in TypeScript. */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { FRAMES, HELLO_ID } from '../../src/protocol/frames.ts';
import { decodeHello, HELLO_BYTES_MOST, type Hello } from '../../src/protocol/hello.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver } from '../../src/protocol/stream.ts';
import { readMessagePack } from '../protocol/messagepack-reader.ts';
import type { Vectors } from '../protocol/vectors.ts';
import { compileToWasm, kitSources, wasiCommand } from '../support/c-build.ts';
import { hex } from '../support/hex.ts';
import { HELLO_FLOATS, vectorProgram } from './vectors-c.ts';

const vectors: Vectors = JSON.parse(readFileSync(new URL('../protocol/vectors.json', import.meta.url), 'utf8'));
const frames: { id: number; payload: Uint8Array; wire: string }[] = [];
let complaints = '';

beforeAll(async () => {
  const sources = { ...kitSources(), 'vectors.c': vectorProgram(vectors) };
  const program = await compileToWasm(
    'vectors',
    sources,
    ['vectors.c', 'phantom_framing.c', 'phantom_hello.c'],
    ['-O0'],
  );
  const { stdout, stderr } = spawnSync(wasiCommand(program), { shell: true, maxBuffer: 2 ** 24 });
  complaints = stderr.toString();
  const any = [...FRAMES.map((each) => each.id), HELLO_ID].map((id) => ({ id, least: 0, most: HELLO_BYTES_MOST }));
  let start = 0;
  let end = 0;
  const receiver = new StreamReceiver(any, (id, bytes, length) => {
    frames.push({ id, payload: bytes.slice(PAYLOAD_AT, PAYLOAD_AT + length), wire: hex(stdout.subarray(start, end)) });
    start = end;
  });
  while (end < stdout.length) receiver.push(stdout.subarray(end, ++end));
});

/** Formats that the kit writes, as the reference page names them. */
const WRITTEN = [0x80, 0xde, 0xdc, 0xd9, 0xcd, 0xca, 0xc2, 0xc3];

/** A Hello as float32 can say it. */
function rounded(hello: Hello): Hello {
  const floats = HELLO_FLOATS.filter((key) => hello[key] !== undefined).map((key) => [key, Math.fround(hello[key]!)]);
  return { ...hello, ...Object.fromEntries(floats) };
}

describe('vectors in C', () => {
  it('come back member by member, and through the receiver in both forms', () => {
    expect(complaints).toBe('');
    expect(frames).toHaveLength(vectors.frames.length + vectors.hellos.length);
  });

  it.each(vectors.frames.map((each, k) => ({ ...each, k })))(
    '$frame, $what: the same bytes',
    ({ k, payload, stream }) => {
      expect(hex(frames[k].payload)).toBe(payload);
      expect(frames[k].wire).toBe(stream);
    },
  );

  it.each(vectors.hellos.map((each, k) => ({ ...each, k })))('Hello, $what: the same values', ({ k, hello }) => {
    const { id, payload } = frames[vectors.frames.length + k];
    expect(id).toBe(HELLO_ID);
    expect(decodeHello(payload)).toEqual({ hello: rounded(hello) });
    const { value, formats } = readMessagePack(payload);
    expect(value).toEqual(rounded(hello));
    for (const format of formats) expect(WRITTEN).toContain(format);
  });
});
