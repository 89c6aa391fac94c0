/**
 * JUnit XML, read by readers that are not ours. What a build server must never do is count zero red cases of a red run.
 *
 * Source  XML 1.0, production 2 (from memory); fast-xml-parser and Python's expat are the judges of well-formedness.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Junit, junitOf } from '../../src/report/junit.ts';
import type { RunTold } from '../../src/report/model.ts';
import { readXml } from '../../src/report/xml-check.ts';
import { check, failing, run } from './told.ts';
import { readByNpm, readByPython } from './xml-readers.ts';

const FACTS = { at: '2026-01-02T03:04:05Z', properties: { program: 'phantom-spindle 0.1.0' } };
const of = (...runs: RunTold[]): Junit => junitOf(runs, FACTS);

describe('JUnit XML', () => {
  it('has a named suite for each run, no attribute on the root, and counts that agree with its cases', () => {
    const runs = [
      run(),
      run({
        seed: 12,
        verdict: 'failed',
        checks: [check(), failing(), failing({ name: 'other', verdict: 'not evaluated' })],
      }),
    ];
    const { suites, rootNames } = readByNpm(of(...runs).text);
    expect(rootNames).toEqual([]);
    expect(suites.map(({ name }) => name)).toEqual([
      'Seat a screw that is nearly in [seed 11]',
      'Seat a screw that is nearly in [seed 12]',
    ]);
    expect(suites.map(({ tests, failures, errors, skipped }) => [tests, failures, errors, skipped])).toEqual([
      [2, 0, 0, 0],
      [4, 1, 1, 0],
    ]);
    for (const { tests, cases } of suites) expect(cases).toHaveLength(tests);
    expect(suites[1].cases.map(({ red }) => red)).toEqual([false, true, true, false]);
  });

  it('carries seed, hashes, coupling and versions as properties', () => {
    const text = junitOf([run({ point: [{ name: 'size', text: '3 A' }] })], {
      ...FACTS,
      ofRun: () => ({ 'file sha256': 'f00' }),
    }).text;
    expect(readByNpm(text).suites[0].properties).toMatchObject({
      seed: '11',
      coupling: 'in-process',
      'state hash': 'a094ec6ace8fc01f',
      firmware: 'six-step-1',
      'point size': '3 A',
      program: 'phantom-spindle 0.1.0',
      'file sha256': 'f00',
    });
  });

  it('tells value, limit, margin and the line that plays the run again', () => {
    const { text } = of(run({ verdict: 'failed', checks: [failing()] }));
    expect(text).toContain('fail: value 103.5 A, limit at most 100 A, margin -3.5 A, at 0.148 s');
    expect(text).toContain('again: npm run -s sim -- run scenarios/seat-screw-short.yaml');
  });

  it('keeps class name and name unique together, also when only dropped characters differ', () => {
    const twins = ['a\u0001', 'a\u0002', 'a', ''].map((name) => check({ name }));
    const { suites } = readByNpm(
      of(run({ checks: twins }), run({ checks: twins }), run({ checks: twins, seed: 12 })).text,
    );
    const keys = suites.flatMap(({ cases }) => cases.map(({ classname, name }) => `${classname} / ${name}`));
    expect(new Set(keys).size).toBe(keys.length);
    expect(new Set(suites.map(({ name }) => name)).size).toBe(3);
    expect(keys.every((key) => /^scenarios\.seat-screw-short \/ \S/.test(key))).toBe(true);
  });

  it.each([
    ['failed', run({ verdict: 'failed', checks: [] })],
    ['invalid', run({ verdict: 'invalid', why: 'does not hold: energy balances' })],
    ['controller lost', run({ verdict: 'controller lost', checks: [check({ verdict: 'not evaluated' })] })],
    ['set-up error', run({ verdict: 'set-up error', checks: [], problems: ['a.yaml:3: key \u0000 is not known'] })],
    ['not known to this program', run({ verdict: 'dreamt' })],
  ])('is red for a run that is %s, whatever its checks say', (_, each) => {
    const made = of(run(), each);
    const { suites } = readByNpm(made.text);
    expect(suites[0].cases.some(({ red }) => red)).toBe(false);
    expect(suites[1].cases.some(({ red }) => red)).toBe(true);
    expect(made.red).toBe(suites[1].cases.filter(({ red }) => red).length);
  });

  it('skips the energy balance of a coupling that allows none, and nothing else', () => {
    const energy = check({
      name: 'energy balances',
      signal: 'energyResidual',
      verdict: 'not evaluated',
      why: 'elsewhere',
    });
    const { suites } = readByNpm(of(run({ coupling: 'rate-split', checks: [check(), energy] })).text);
    expect(suites[0].cases.map(({ red, skipped }) => [red, skipped])).toEqual([
      [false, false],
      [false, true],
      [false, false],
    ]);
    const lost = of(run({ coupling: 'lock-step', verdict: 'failed', checks: [check(), energy] }));
    expect(lost.red).toBe(1);
  });

  it('reads red as red with any character in any text', () => {
    // Every code unit, lone halves of pairs included: what a file or a board can put into a name.
    const anyText = fc.string({
      unit: fc.integer({ min: 0, max: 0xffff }).map((code) => String.fromCharCode(code)),
      maxLength: 12,
    });
    const evil = fc.constantFrom(
      '\u0000',
      '\u0008',
      '\u001b[31m',
      ']]>',
      '<!--',
      '&#0;',
      '"/><testcase/>',
      '\ufffe',
      '\ud800',
      '\u202e',
    );
    const name = fc.oneof(
      anyText,
      fc.tuple(anyText, evil, anyText).map((parts) => parts.join('')),
    );
    const told = fc.record({
      title: name,
      file: name,
      check: name,
      why: name,
      firmware: name,
      again: name,
      unit: name,
    });
    const texts: string[] = [];
    const wanted: number[] = [];
    fc.assert(
      fc.property(told, ({ title, file, check: named, why, firmware, again, unit }) => {
        const checks = [check({ name: named, unit }), failing({ name: named, why })];
        const made = of(run({ title, file, firmware, again, verdict: 'failed', checks }), run({ title, file, why }));
        const { suites } = readByNpm(made.text);
        expect(suites.flatMap(({ cases }) => cases.filter(({ red }) => red))).toHaveLength(1);
        expect(made.red).toBe(1);
        expect(suites.flatMap(({ cases }) => cases)).toHaveLength(made.cases);
        expect(readXml(made.text)).toMatchObject({ ok: true, counts: { failure: 1, testcase: made.cases } });
        texts.push(made.text);
        wanted.push(made.cases);
      }),
      { numRuns: 300, seed: 20 },
    );
    const read = readByPython(texts);
    if (read === undefined) return console.log('no python3 here: read by fast-xml-parser only');
    read.forEach((each, k) => {
      expect(each, texts[k]).toMatchObject({ ok: true, tag: 'testsuites' });
      if (each.ok) expect(each.cases.filter(([, , red]) => red)).toHaveLength(1);
      if (each.ok) expect(each.cases).toHaveLength(wanted[k]);
    });
  });
});

describe('reading back', () => {
  const good = of(run({ verdict: 'failed', checks: [failing()] })).text;
  const broken: readonly (readonly [string, string, RegExp])[] = [
    ['a control character', good.replace('fail: value', 'fail\u0008: value'), /U\+0008 is not allowed/],
    ['a lone half of a pair', good.replace('fail: value', '\ud800'), /U\+D800 is not allowed/],
    ['a numbered control character', good.replace('fail: value', '&#27;'), /&#27; is not allowed/],
    ['a bare ampersand', good.replace('fail: value', 'R&D'), /is no entity/],
    ['a cut end', good.slice(0, -20), /is not closed|is no tag/],
    ['a cut inside of a tag', good.slice(0, good.indexOf('classname') + 4), /is no tag/],
    ['a twin attribute', good.replace('<testcase ', '<testcase name="x" '), /has name twice/],
    ['a wrong end', good.replace('</testsuite>', '</testcase>'), /closes <testsuite>/],
    ['text behind the root', `${good}green`, /outside of the root/],
    ['a second root', `${good}<testsuites/>`, /second root/],
    ['nothing', '', /declaration is missing/],
  ];

  it.each(broken)('refuses %s', (_, text, why) => {
    const read = readXml(text);
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.why).toMatch(why);
  });

  it('refuses whatever an independent reader refuses', () => {
    const read = readByPython([good, ...broken.map(([, text]) => text).filter((text) => !/\p{Cs}/u.test(text))]);
    if (read === undefined) return console.log('no python3 here');
    expect(read[0].ok).toBe(true);
    expect(read.slice(1).filter(({ ok }) => ok)).toEqual([]);
  });

  it('tells the line', () => {
    const read = readXml(good.replace('fail: value', 'R&D'));
    const line = good.split('\n').findIndex((each) => each.includes('fail: value')) + 1;
    expect(read).toMatchObject({ ok: false, line });
  });

  it('reads ten thousand cases in less than two seconds', () => {
    const runs = Array.from({ length: 1000 }, (_, seed) =>
      run({ seed, checks: Array.from({ length: 9 }, (_, k) => check({ name: `c${k}` })) }),
    );
    const { text, cases } = of(...runs);
    const began = performance.now();
    expect(readXml(text)).toMatchObject({ ok: true, counts: { testcase: cases, testsuite: 1000 } });
    expect(performance.now() - began).toBeLessThan(2000);
  });
});
