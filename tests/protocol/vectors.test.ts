/** TypeScript makes and reads every entry of vectors.json; tests/board/vectors.test.ts does it in C. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { acceptedByBoard, acceptedByHost } from '../../src/protocol/accepted.ts';
import { codecOf } from '../../src/protocol/codec-of.ts';
import { FRAMES, HELLO_ID } from '../../src/protocol/frames.ts';
import { decodeHello, encodeHello, HELLO_SCHEMA } from '../../src/protocol/hello.ts';
import { MessageReceiver } from '../../src/protocol/message.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { type FrameHandler, StreamReceiver } from '../../src/protocol/stream.ts';
import { hex, unhex } from '../support/hex.ts';
import { blankOf, INTEGER_MOST, makeVectors, payloadOf, type Vectors, valuesOf, wiresOf } from './vectors.ts';

const text = readFileSync(new URL('./vectors.json', import.meta.url), 'utf8');
const { frames, hellos }: Vectors = JSON.parse(text);
const frameOf = (name: string) => FRAMES.find((each) => each.name === name)!;

/** What both receivers hand over, as text. */
function received(message: string, stream: string): string[] {
  const taken: string[] = [];
  const hear: FrameHandler = (id, bytes, length) =>
    taken.push(`${id} ${hex(bytes.subarray(PAYLOAD_AT, PAYLOAD_AT + length))}`);
  for (const accepted of [acceptedByHost(), acceptedByBoard()]) {
    new MessageReceiver(accepted, hear).push(unhex(message));
    new StreamReceiver(accepted, hear).push(unhex(stream));
  }
  return taken;
}

describe('vectors', () => {
  it('are those that vectors-main.ts writes', () => {
    expect(JSON.parse(JSON.stringify(makeVectors()))).toEqual(JSON.parse(text));
  });

  it('hold every frame with every integer field at both ends of its range', () => {
    for (const frame of FRAMES) {
      const entries = frames.filter((each) => each.frame === frame.name);
      expect(entries.length).toBeGreaterThanOrEqual(4);
      for (const [name, { kind }] of Object.entries(frame.fields)) {
        if (!(kind in INTEGER_MOST)) continue;
        const values = entries.map((each) => each.values[name]);
        expect(values, `${frame.name}.${name}`).toEqual(expect.arrayContaining([0, INTEGER_MOST[kind]]));
      }
    }
  });

  it('hold a Hello with none and one with all of the optional keys', () => {
    const keys = hellos.map(({ hello }) => Object.keys(hello).length);
    expect(Math.min(...keys)).toBe(HELLO_SCHEMA.required.length);
    expect(Math.max(...keys)).toBe(Object.keys(HELLO_SCHEMA.properties).length);
  });

  it.each(frames)('$frame, $what: the same bytes and back', ({ frame: name, values, payload, message, stream }) => {
    const frame = frameOf(name);
    const bytes = payloadOf(frame, values);
    expect(wiresOf(frame.id, bytes)).toEqual({ payload, message, stream });
    const back = blankOf(frame, values);
    expect(codecOf(frame).decode(unhex(payload), back)).toBe('ok');
    expect(back).toEqual(valuesOf(frame, values));
    const listeners = frame.from === 'either' ? 4 : 2;
    expect(received(message, stream)).toEqual(Array(listeners).fill(`${frame.id} ${payload}`));
  });

  it.each(hellos)('Hello, $what: the same bytes and back', ({ hello, payload, message, stream }) => {
    expect(wiresOf(HELLO_ID, encodeHello(hello))).toEqual({ payload, message, stream });
    expect(decodeHello(unhex(payload))).toEqual({ hello });
    expect(received(message, stream)).toEqual(Array(2).fill(`${HELLO_ID} ${payload}`));
  });
});
