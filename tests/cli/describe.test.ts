/** `sim describe` as a user meets it: list, table, JSON, and a name that does not exist. */
import { describe, expect, it } from 'vitest';
import { GROUPS } from '../../src/plant/params.ts';
import { PRESETS, presetNames } from '../../src/plant/presets/index.ts';
import { expectNear } from '../support/near.ts';
import { sim } from './sim.ts';

interface Sheet {
  name: string;
  sections: { figures: { id: string; value: number; unit: string; shown: number; shownUnit: string }[] }[];
  groups: {
    name: string;
    rows: { key: string; value: number | number[]; unit: string; doc: string; source: string }[];
  }[];
}

describe('sim describe', () => {
  it('lists the presets with their titles when none is named', async () => {
    const run = await sim('describe');
    expect(run).toMatchObject({ code: 0, err: '' });
    const lines = run.out.trimEnd().split('\n');
    expect(lines).toHaveLength(presetNames().length);
    presetNames().forEach((name, k) => {
      expect(lines[k]).toMatch(new RegExp(`^${name} +${PRESETS[name].title}$`));
    });
  });

  it('prints figures with units, then every parameter with value, unit, meaning and source', async () => {
    const run = await sim('describe', 'bench-18');
    expect(run).toMatchObject({ code: 0, err: '' });
    expect(run.out).toMatch(/motor alone, block commutation +\d{5} {2}rpm\n/);
    expect(run.out).toMatch(/chuck in gear 2 \(high\) +\d+(\.\d+)? {2}N·m\n/);
    // 1/(2 pi sqrt(1 uH * 470 uF)) = 7341.27 Hz, by hand.
    expect(run.out).toMatch(/resonance of leads and link, undamped +7341 {2}Hz\n/);
    expect(run.out).toMatch(/\n {2}r_ohm +0\.008 +ohm +phase resistance at 20 °C +\[illustrative\]\n/);
    for (const [group, bands] of Object.entries(GROUPS)) {
      const block = run.out.split(`(${group})\n`)[1]?.split('\n\n')[0] ?? '';
      expect(block.trimEnd().split('\n').length, group).toBe(Object.keys(bands).length);
      for (const line of block.trimEnd().split('\n')) expect(line).toMatch(/^ {2}\w+ +\S.* \[.+\]$/);
    }
    for (const line of run.out.split('\n')) expect(line).toBe(line.trimEnd());
  });

  it('prints JSON from which the very preset can be read back', async () => {
    for (const name of presetNames()) {
      const run = await sim('describe', name, '--json');
      expect(run).toMatchObject({ code: 0, err: '' });
      const sheet = JSON.parse(run.out) as Sheet;
      expect(sheet.name).toBe(name);
      for (const { name: group, rows } of sheet.groups) {
        const values = Object.fromEntries(rows.map(({ key, value }) => [key, value]));
        expect(values, group).toEqual(PRESETS[name][group as 'pack']);
        for (const row of rows) expect(row.source.length, `${group}.${row.key}`).toBeGreaterThan(3);
      }
      const figures = new Map(sheet.sections.flatMap((s) => s.figures.map((f) => [f.id, f] as const)));
      expect(figures.size).toBe(sheet.sections.flatMap((s) => s.figures).length);
      const speed = figures.get('block_rad_s');
      expect(speed).toMatchObject({ unit: 'rad/s', shownUnit: 'rpm' });
      const because = 'the same number in two units';
      expectNear((speed?.shown ?? 0) / 60, (speed?.value ?? 1) / (2 * Math.PI), { abs: 1e-9, because });
      for (const { id, value, shown } of figures.values()) {
        expect(Number.isFinite(value) && Number.isFinite(shown), id).toBe(true);
      }
    }
  });

  it('lists names and titles as JSON too', async () => {
    const run = await sim('describe', '--json');
    expect(JSON.parse(run.out).map((row: { name: string }) => row.name)).toEqual(presetNames());
  });

  it('refuses an unknown name with 2, the nearest one and all that are allowed', async () => {
    const run = await sim('describe', 'bensh-18');
    expect(run.code).toBe(2);
    expect(run.out).toBe('');
    expect(run.err).toContain("no preset is called 'bensh-18'; nearest is 'bench-18'; allowed are bench-18, light-12");
  });

  it('takes no inherited name for a preset', async () => {
    const run = await sim('describe', 'constructor');
    expect(run.code).toBe(2);
    expect(run.err).toContain("no preset is called 'constructor'");
  });
});
