/** The Parquet table, read back by hyparquet: types, nulls, units, and no run missing. */
import { parquetMetadata, parquetReadObjects } from 'hyparquet';
import { describe, expect, it } from 'vitest';
import { tableOf } from '../../src/report/table.ts';
import { check, failing, run } from './told.ts';

const FACTS = { at: '2026-01-02T03:04:05Z', versions: { program: 'phantom-spindle 0.1.0' } };
const RUNS = [
  run({
    seed: 4_294_967_295,
    point: [{ name: 'size', text: '3 A' }],
    checks: [check({ requirements: ['R-1'] }), failing({ margin: Math.PI, limit: null })],
  }),
  run({ verdict: 'set-up error', checks: [], seed: null, energyResidual: null, rate_Hz: 50 }),
];

describe('the table of results', () => {
  it('has one row a check and run, and one for a run without checks', async () => {
    const file = tableOf(RUNS, FACTS);
    const rows = await parquetReadObjects({ file });
    expect(rows).toHaveLength(3);
    expect(rows[0]).toMatchObject({
      title: 'Seat a screw that is nearly in',
      seed: 4_294_967_295,
      run_verdict: 'passed',
      check: 'the phase current stays in its limit',
      verdict: 'pass',
      value: 79.2,
      bound: 'at most',
      limit: 100,
      margin: 20.8,
      unit: 'A',
      at_s: 0.148,
      requirements: 'R-1',
      coupling: 'in-process',
      virtual_s: 0.25,
      'point size': '3 A',
      state_hash: 'a094ec6ace8fc01f',
    });
    // Every bit of a number comes back; what there is not is null, not zero.
    expect(rows[1]).toMatchObject({ verdict: 'fail', margin: Math.PI, limit: null });
    expect(rows[2]).toMatchObject({
      run_verdict: 'set-up error',
      check: null,
      value: null,
      seed: null,
      energy_residual: null,
      rate_Hz: 50,
      'point size': null,
    });
  });

  it('types its columns and says when and by what it was made', () => {
    const { schema, key_value_metadata, created_by, num_rows } = parquetMetadata(tableOf(RUNS, FACTS));
    const types = Object.fromEntries(
      schema.slice(1).map(({ name, type, converted_type }) => [name, converted_type ?? type]),
    );
    expect(types).toMatchObject({
      scenario: 'UTF8',
      value: 'DOUBLE',
      margin: 'DOUBLE',
      unit: 'UTF8',
      at_s: 'DOUBLE',
      seed: 'DOUBLE',
    });
    expect(num_rows).toBe(3n);
    expect(created_by).toBe('phantom-spindle 0.1.0');
    expect(key_value_metadata).toContainEqual({ key: 'made', value: '2026-01-02T03:04:05Z' });
  });

  it('holds for no run at all and for ten thousand', async () => {
    expect(await parquetReadObjects({ file: tableOf([], FACTS) })).toEqual([]);
    const many = Array.from({ length: 10_000 }, (_, seed) => run({ seed }));
    const rows = await parquetReadObjects({ file: tableOf(many, FACTS), columns: ['seed'] });
    expect(rows.map(({ seed }) => seed)).toEqual(many.map(({ seed }) => seed));
  });
});
