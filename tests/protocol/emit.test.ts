import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { cHeader } from '../../src/protocol/emit/c-header.ts';
import { protocolPage } from '../../src/protocol/emit/page.ts';
import { FRAMES } from '../../src/protocol/frames.ts';
import { HELLO_SCHEMA } from '../../src/protocol/hello.ts';

const read = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');

describe('what is derived from the frames', () => {
  it('the committed C header is the one that "npm run protocol" writes now', () => {
    expect(read('src/board/phantom_link.h')).toBe(cHeader());
  });

  it('the committed reference page is the one that "npm run protocol" writes now', () => {
    expect(read('src/board/PROTOCOL.md')).toBe(protocolPage());
  });

  it('the page has every frame, field, bit, code and key', () => {
    const page = protocolPage();
    for (const { name, fields } of FRAMES) {
      const part = page.split(`### ${name}\n`)[1].split('### ')[0];
      for (const [field, { bits = [], codes = [] }] of Object.entries(fields)) {
        expect(part).toContain(`| ${field} |`);
        for (const each of [...bits, ...codes]) expect(part).toContain(`${each.name}: ${each.doc} |`);
      }
    }
    for (const key of Object.keys(HELLO_SCHEMA.properties)) expect(page).toContain(`| ${key} |`);
  });

  it('the page shows the published check value and a frame in both forms', () => {
    const page = protocolPage();
    // G. Cook, Catalogue of Parametrised CRC Algorithms, entry CRC-16/IBM-3740.
    expect(page).toContain('| 16 | 0x1021 | 0xFFFF | no | none | 0x29B1 |');
    const message = /\n06 00 00 00 00 (.. ..)\n/.exec(page)![1]; // Bye, reason 0
    expect(page).toContain(`\n00 02 06 01 01 01 03 ${message} 00\n`); // the same, stuffed by hand
  });

  it('the header is plain ASCII in lines that can be read beside code', () => {
    const lines = cHeader().split('\n');
    expect(lines.filter((line) => /[^\x20-\x7e]/.test(line))).toEqual([]);
    expect(lines.filter((line) => line.length > 120)).toEqual([]);
  });
});
