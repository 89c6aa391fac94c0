/** The coverage page is complete and names nothing that is not there; tests/runner/scenarios.test.ts compares its results. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { controllerNames } from '../../src/control/index.ts';
import { firstComment } from '../../src/scenario/source.ts';
import { COVERAGE, page } from './coverage.ts';
import { libraryFiles, ROOT, scenarioOf } from './library.ts';
import { ROWS } from './rows.ts';

/** Needs of the users: U1 to U52. */
const NEEDS = 52;
/** Largest virtual time of a file in a folder [s]: the library is for every build of a firmware. */
const LONGEST_S = 1.5;
/** Files that the library has to have at least. */
const FILES_LEAST = 40;

const files = libraryFiles();
const inFolders = files.filter((name) => name.includes('/'));
const text = readFileSync(COVERAGE, 'utf8');
const schema = JSON.parse(readFileSync('src/scenario/scenario.schema.json', 'utf8'));
const fits = new Ajv({ strict: false }).compile(schema);

describe('coverage page', () => {
  it('tells every need once, in order', () => {
    const told = [...text.matchAll(/^\| (U\d+) \|/gm)].map(([, need]) => need);
    expect(told).toEqual(Array.from({ length: NEEDS }, (_, k) => `U${k + 1}`));
  });

  it('names only files that exist, and every file', () => {
    const named = [...text.matchAll(/`([\w/-]+\.yaml)`/g)].map(([, name]) => name);
    for (const name of named) expect(files).toContain(name);
    const results = [...text.matchAll(/^\| `([\w/-]+\.yaml)` \|/gm)].map(([, name]) => name);
    expect(results).toEqual(files);
  });

  it('says of a need without a file why, and gives every file of a folder a need', () => {
    for (const { need, files: own, open } of ROWS) if (own.length === 0) expect(open, need).not.toBe('');
    const used = new Set(ROWS.flatMap(({ files: own }) => own));
    expect(inFolders.filter((name) => !used.has(name))).toEqual([]);
  });

  it('is what the table of needs and the results make of it', () => {
    const lines = text.split('\n').filter((each) => each.startsWith('| `'));
    expect(text).toBe(page(files, lines));
    for (const each of lines) expect(each.split(' | ')).toHaveLength(1 + controllerNames().length);
  });
});

describe('scenarios in folders', () => {
  it('are at least forty', () => {
    expect(inFolders.length).toBeGreaterThanOrEqual(FILES_LEAST);
  });

  it.each(inFolders)('%s says what it shows, fits the published schema, is short, and names its limits', (name) => {
    const source = readFileSync(join(ROOT, name), 'utf8');
    expect(firstComment(source)).toMatch(/^Shows .*\.$/);
    expect(fits(parse(source)), JSON.stringify(fits.errors)).toBe(true);
    const scenario = scenarioOf(name);
    expect(scenario.checks.length).toBeGreaterThan(0);
    expect(scenario.duration_s).toBeLessThanOrEqual(LONGEST_S);
    expect(controllerNames()).toContain(scenario.controller);
  });

  it('have titles of their own', () => {
    const titles = files.map((name) => scenarioOf(name).title);
    expect(new Set(titles).size).toBe(titles.length);
  });
});
