/** Sound boards conform; a board with one defect is told that defect, by the name of the examination, and no other. */
import { describe, expect, it } from 'vitest';
import { EXAMINATIONS, examine } from '../../src/examine/examine.ts';
import { served, sound, wireTo } from './boards.ts';
import { DEFECTS } from './defects.ts';

/** Short waits: a board in this process answers at once, and a defect that keeps silent is waited for many times. */
const TERMS = { answer_s: 0.5, hello_s: 0.5, settle_s: 0.01, pause_s: 1 };
const LIMIT_MS = 120_000;

describe('an examination', { timeout: LIMIT_MS }, () => {
  it.concurrent('finds nothing to mend on a sound board, on a stream', async () => {
    const report = await examine(
      wireTo((say) => served(sound(), say)),
      TERMS,
    );
    expect(report.results.filter(({ verdict }) => verdict !== 'holds')).toEqual([]);
    expect(report.results.map(({ id }) => id)).toEqual(EXAMINATIONS.map(({ id }) => id));
    expect(report).toMatchObject({ lost: undefined, counts: { holds: EXAMINATIONS.length } });
    expect(report.hello?.firmware).toBe('six-step-1');
  });

  it.concurrent('finds nothing to mend where messages arrive whole, and says what it does not examine there', async () => {
    const report = await examine(
      wireTo((say) => served(sound(), say, true), 'memory', true),
      TERMS,
    );
    const others = report.results.filter(({ verdict }) => verdict !== 'holds');
    expect(others.map(({ id, verdict }) => `${id}: ${verdict}`)).toEqual([
      'split: not examined',
      'sizes: not examined',
    ]);
    for (const { saw } of others) expect(saw).toContain('on this kind of link');
  });

  for (const { name, mends, make, terms = {}, wire = 'memory' } of DEFECTS) {
    it.concurrent(`names the defect of a board that ${name}`, async () => {
      const report = await examine(wireTo(make, wire), { ...TERMS, ...terms });
      const found = report.results.filter(({ verdict }) => verdict === 'mend');
      const said = found.map(({ id, saw }) => `${id}: ${saw}`).join('\n');
      expect(found.map(({ id }) => id).sort(), said).toEqual([...mends].sort());
      expect(report.counts.mend).toBe(mends.length);
    });
  }
});
