import { encode } from '@msgpack/msgpack';
import { describe, expect, it } from 'vitest';
import { decodeHello, encodeHello, HELLO_BYTES_MOST } from '../../src/protocol/hello.ts';
import { unhex } from '../support/hex.ts';
import { HELLO_SAMPLE } from './samples.ts';

/** Decodes a value that claims to be a Hello; the detail, or '' when it passes. */
function complaint(value: unknown): string {
  const result = decodeHello(encode(value));
  return 'problem' in result ? `${result.problem}: ${result.detail}` : '';
}

function nested(depth: number): unknown {
  let value: unknown = 1;
  for (let k = 0; k < depth; k++) value = [value];
  return value;
}

describe('Hello', () => {
  it('comes back as it was sent', () => {
    expect(decodeHello(encodeHello(HELLO_SAMPLE))).toEqual({ hello: HELLO_SAMPLE });
  });

  it('fits its length limit with every text and list at its own limit', () => {
    const watch = Array.from({ length: 32 }, (_, k) => ({
      name: `${k}`.padEnd(31, 'n'),
      unit: 'u'.repeat(15),
      signal: 's'.repeat(31),
    }));
    const largest = { ...HELLO_SAMPLE, board: 'b'.repeat(63), firmware: 'f'.repeat(63), watch };
    expect(encodeHello(largest).length).toBeLessThanOrEqual(HELLO_BYTES_MOST);
    expect(decodeHello(encodeHello(largest))).toEqual({ hello: largest });
  });

  it.each([
    [{ ...HELLO_SAMPLE, pwm_Hz: 10 }, 'malformed: Hello.pwm_Hz must be >= 1000'],
    [
      { ...HELLO_SAMPLE, shunts: 'a' },
      'malformed: Hello.shunts must be equal to one of the allowed values: abc, ab, bc, ac',
    ],
    [{ ...HELLO_SAMPLE, extra: 1 }, "malformed: Hello must not have additional properties 'extra'"],
    [{ ...HELLO_SAMPLE, halls: 1 }, 'malformed: Hello.halls must be boolean'],
    [{ ...HELLO_SAMPLE, board: 'two\nlines' }, 'malformed: Hello.board must match pattern'],
    [{ ...HELLO_SAMPLE, triggerHigh_counts: 410 }, 'malformed: Hello.triggerHigh_counts is 410; it must differ'],
    [
      {
        ...HELLO_SAMPLE,
        watch: [
          { name: 'w', unit: '' },
          { name: 'w', unit: '' },
        ],
      },
      "names 'w' twice",
    ],
    [{ version: 3 }, "malformed: Hello must have required property 'board'"],
    [{ ...HELLO_SAMPLE, currentPerCount_A: Number.NaN }, 'malformed: Hello.currentPerCount_A'],
    [42, 'malformed: Hello must be object'],
    [null, 'malformed: Hello must be object'],
  ])('is refused by name: case %#', (value, text) => {
    expect(complaint(value)).toContain(text);
  });

  it('of another version is told apart from a malformed one, whatever else it says', () => {
    expect(complaint({ version: 1, news: true })).toBe('wrong version: the board speaks version 1, this is 3');
  });

  it('is refused when longer than its limit, before it is decoded', () => {
    const long = new Uint8Array(HELLO_BYTES_MOST + 1).fill(0xc0);
    expect(decodeHello(long)).toMatchObject({ problem: 'malformed', detail: 'Hello has 4097 bytes; allowed are 4096' });
  });

  it('is refused when nested deep, though the decoder has no limit for that', () => {
    expect(complaint({ ...HELLO_SAMPLE, watch: nested(3) })).toContain('nested deeper than 3 levels');
    const bytes = new Uint8Array(HELLO_BYTES_MOST).fill(0x91); // an array of an array of ...
    bytes[HELLO_BYTES_MOST - 1] = 0xc0;
    expect(decodeHello(bytes)).toMatchObject({ problem: 'malformed' });
  });

  it.each([
    ['cut short', '8d a7 76 65 72'],
    ['a map that announces 4 billion entries', 'df ff ff ff ff'],
    ['an array that announces 4 billion entries', 'dd ff ff ff ff'],
    ['a string that announces 4 billion bytes', 'db ff ff ff ff'],
    ['binary data', 'c4 01 00'],
    ['an extension', 'c7 01 05 00'],
    ['a key that is a prototype', '81 a9 5f 5f 70 72 6f 74 6f 5f 5f 01'],
    ['nothing', ''],
    ['a map with bytes behind it', '80 00'],
  ])('is refused when it is %s', (_, bytes) => {
    expect(decodeHello(unhex(bytes))).toMatchObject({ problem: 'malformed' });
  });

  it('is not sent when it breaks its own schema', () => {
    expect(() => encodeHello({ ...HELLO_SAMPLE, pwm_Hz: 10 })).toThrow(RangeError);
  });
});
