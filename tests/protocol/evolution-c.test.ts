/**
 * Older and newer sides in C: the header is written for two more frames, the same one before and after something was appended
 * to it, and a program reads each with the functions of the other.
 */
import { spawnSync } from 'node:child_process';
import { beforeAll, describe, expect, it } from 'vitest';
import { f32, frame, pad, u8, u16, u32 } from '../../src/protocol/dsl.ts';
import { cHeader } from '../../src/protocol/emit/c-header.ts';
import { FRAMES } from '../../src/protocol/frames.ts';
import { compileToWasm, wasiCommand } from '../support/c-build.ts';

const doc = 'of this test';
const first = { number: u16({ doc }), levels: u8({ doc }), reserved: pad(1) };
const OLDER = frame({ name: 'Older', id: 0x55, from: 'host', doc, fields: first });
const NEWER = frame({
  name: 'Newer',
  id: 0x56,
  from: 'host',
  doc,
  fields: {
    ...first,
    load: f32({ doc, unit: 'W', scale: 'SI', appended: true }),
    spare: { ...pad(1), appended: true },
    mode: u8({ doc, appended: true }),
    count: u16({ doc, appended: true }),
    clock: u32({ doc, unit: 's', scale: 1e-6, appended: true }),
  },
});

const PROGRAM = `#include <stdio.h>
#include "phantom_link.h"
int main(void)
{
    const phantom_newer sent = {7u, 3u, 1.5f, 5u, 9u, 100000u};
    uint8_t bytes[PHANTOM_HOST_PAYLOAD_MOST] = {0};
    const size_t size = phantom_newer_encode(&sent, bytes);
    phantom_older older = {1u, 1u};
    const int taken = phantom_older_decode(&older, bytes, size);
    printf("%u %u: %d %u %u\\n", (unsigned)size, PHANTOM_NEWER_SIZE_LEAST, taken, older.number, older.levels);
    for (size_t n = 3; n <= size + 1u; n++) {
        phantom_newer newer = {1u, 1u, 4.0f, 4u, 4u, 4u};
        const int got = phantom_newer_decode(&newer, bytes, n);
        printf("%u: %d %u %u %g %u %u %lu\\n", (unsigned)n, got, newer.number, newer.levels, (double)newer.load, newer.mode,
               newer.count, (unsigned long)newer.clock);
    }
    for (size_t n = 3; n <= 205u; n++)
        printf("%d%d ", phantom_host_payload(PHANTOM_OLDER_ID, n), phantom_host_payload(PHANTOM_NEWER_ID, n));
    return 0;
}
`;

let lines: string[] = [];
beforeAll(async () => {
  const sources = { 'phantom_link.h': cHeader([...FRAMES, OLDER, NEWER]), 'program.c': PROGRAM };
  const program = await compileToWasm('evolution', sources, ['program.c']);
  const { status, stdout, stderr } = spawnSync(wasiCommand(program), { shell: true, encoding: 'utf8' });
  expect(`${status} ${stderr}`).toBe('0 ');
  lines = stdout.split('\n');
});

describe('older and newer sides in C', () => {
  it('an older one reads the part it knows', () => {
    expect(lines[0]).toBe('16 4: 1 7 3');
  });

  it('a newer one reads 0 where an older one said nothing', () => {
    expect(lines.slice(1, 16)).toEqual([
      '3: 0 1 1 4 4 4 4', // less than the first release: nothing is read
      ...[4, 5, 6, 7].map((n) => `${n}: 1 7 3 0 0 0 0`), // half a field is none
      ...[8, 9].map((n) => `${n}: 1 7 3 1.5 0 0 0`),
      ...[10, 11].map((n) => `${n}: 1 7 3 1.5 5 0 0`),
      ...[12, 13, 14, 15].map((n) => `${n}: 1 7 3 1.5 5 9 0`),
      ...[16, 17].map((n) => `${n}: 1 7 3 1.5 5 9 100000`),
    ]);
  });

  it('receivers take either from what the first release had to the longest payload of all', () => {
    expect(lines[16].trim().split(' ')).toEqual(['00', ...Array(201).fill('11'), '00']);
  });
});
