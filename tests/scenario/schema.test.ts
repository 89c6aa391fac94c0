import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { HANDS } from '../../src/plant/hands.ts';
import { LOADS } from '../../src/plant/load/index.ts';
import { KINDS } from '../../src/scenario/kinds.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import { DIRECTIONS, KIND_KEYWORD, MEETS, schemaText } from '../../src/scenario/schema.ts';
import { firstComment, problemText } from '../../src/scenario/source.ts';
import { fromDisplay } from '../../src/units/convert.ts';

const published = JSON.parse(readFileSync('src/scenario/scenario.schema.json', 'utf8'));
const files = readdirSync('scenarios')
  .filter((name) => name.endsWith('.yaml'))
  .map((name) => join('scenarios', name));

describe('published schema', () => {
  it('is what the loader checks with (renew it: npm run -s sim -- schema > src/scenario/scenario.schema.json)', () => {
    expect(published).toEqual(JSON.parse(schemaText()));
  });

  it('is plain JSON Schema: a checker that knows nothing of this program takes it and every scenario', () => {
    const validate = new Ajv({ strict: false }).compile(published);
    for (const file of files) expect(validate(parse(readFileSync(file, 'utf8'))), file).toBe(true);
    expect(validate({ title: 'slat', drill: 'bench-18', duration: '1', timeline: [{ at: '0 s', gear: 1 }] })).toBe(
      false,
    );
  });

  it('describes every key, so that an editor can explain it', () => {
    const silent: string[] = [];
    const walk = (schema: Record<string, unknown>, path: string) => {
      for (const [key, value] of Object.entries((schema.properties ?? {}) as Record<string, Record<string, unknown>>)) {
        if (typeof value.description !== 'string') silent.push(`${path}.${key}`);
        walk(value, `${path}.${key}`);
        if (value.items) walk(value.items as Record<string, unknown>, `${path}.${key}[]`);
      }
    };
    walk(published, '');
    expect(silent).toEqual([]);
  });

  it('names kinds of quantity that exist', () => {
    const kinds = [...JSON.stringify(published).matchAll(new RegExp(`"${KIND_KEYWORD}":"(\\w+)"`, 'g'))].map(
      ([, kind]) => kind,
    );
    expect(kinds.length).toBeGreaterThan(5);
    for (const kind of kinds) expect([...Object.keys(KINDS), 'limit']).toContain(kind);
  });

  it('allows what the hands of the plant take, no more and no less', () => {
    expect([...MEETS]).toEqual([...LOADS]);
    expect(DIRECTIONS).toHaveLength(HANDS.direction.high - HANDS.direction.low + 1);
    expect(KINDS.grip.range).toEqual([HANDS.grip.low, HANDS.grip.high]);
    expect(KINDS.push.range).toEqual([HANDS.push.low, HANDS.push.high]);
    expect(KINDS.wrist.range).toEqual([100 * HANDS.wrist.low, 100 * HANDS.wrist.high]);
    expect(KINDS.ambient.range.map((c) => fromDisplay(c, '°C'))).toEqual([HANDS.ambient.low, HANDS.ambient.high]);
    expect(KINDS.trigger.range).toEqual([100 * HANDS.trigger.low, 100 * HANDS.trigger.high]);
  });
});

describe('scenarios of this repository', () => {
  it.each(files)('%s says in its first line what it shows, and loads', (file) => {
    const text = readFileSync(file, 'utf8');
    expect(firstComment(text)).toMatch(/^Shows .*\.$/);
    const result = loadScenario(text, file);
    expect(result.ok ? '' : result.problems.map(problemText).join('\n')).toBe('');
    expect(result.ok && result.scenario.checks.length).toBeGreaterThan(0);
  });
});
