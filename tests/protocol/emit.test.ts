import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { cHeader } from '../../src/protocol/emit/c-header.ts';
import { TABLES_BEGIN, TABLES_END, withTables } from '../../src/protocol/emit/tables.ts';
import { FRAMES } from '../../src/protocol/frames.ts';

const read = (path: string): string => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');

describe('what is derived from the frames', () => {
  it('the committed C header is the one that "npm run protocol" writes now', () => {
    expect(read('src/board/phantom_link.h')).toBe(cHeader());
  });

  it('the committed frame tables are the ones that "npm run protocol" writes now', () => {
    const manual = read('DEVELOPERS.md');
    expect(manual).toBe(withTables(manual));
  });

  it('tables go between their markers and leave the rest of the document alone', () => {
    const text = withTables(`before\n${TABLES_BEGIN}\nstale text\n${TABLES_END}\nafter`)!;
    expect(text.startsWith(`before\n${TABLES_BEGIN}\n`)).toBe(true);
    expect(text.endsWith(`${TABLES_END}\nafter`)).toBe(true);
    expect(text).not.toContain('stale text');
    for (const { name, fields } of FRAMES) {
      expect(text).toContain(`**${name}**`);
      for (const field of Object.keys(fields)) expect(text).toContain(`| ${field} |`);
    }
    expect(withTables(text)).toBe(text);
  });

  it('a document without both markers is left alone', () => {
    expect(withTables('text')).toBeUndefined();
    expect(withTables(`${TABLES_END} ${TABLES_BEGIN}`)).toBeUndefined();
  });
});
