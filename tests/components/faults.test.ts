/** Finding a fault, what the fields of its sheet ask for, and where the tape lies on the record. */
import { describe, expect, it } from 'vitest';
import { askOf, type Draft, freshDraft } from '../../components/fault-sheet/draft.ts';
import { byPart, findFaults } from '../../components/fault-sheet/search.ts';
import { covered } from '../../components/record-view/tape.ts';
import { faultCount } from '../../components/session/faults.ts';
import { FAULTS } from '../../src/faults/catalogue.ts';
import { PLACES } from '../../src/faults/entry.ts';
import type { FaultRow, LiveFault } from '../../worker/api.ts';
import { liveOrder } from '../../worker/fault-ask.ts';
import { faultCalls } from '../../worker/fault-calls.ts';

const ROWS = faultCalls(() => {}).faultRows();
const row = (id: string): FaultRow => {
  const found = ROWS.find((each) => each.id === id);
  if (!found) throw new Error(`no fault ${id}`);
  return found;
};
const ids = (query: string) => findFaults(ROWS, query).map(({ id }) => id);

describe('search', () => {
  it('finds nothing but the whole catalogue without a word', () => {
    expect(ids('  ')).toEqual(Object.keys(FAULTS));
  });

  it('finds by name, by id, by part, and by several words at once in any order', () => {
    expect(ids('OFFSET')).toEqual(['shunt-offset', 'shunt-drift', 'link-offset']);
    expect(ids('shunt-clip')).toEqual(['shunt-clip']);
    expect(ids('channel offset')).toEqual(['shunt-offset', 'shunt-drift']);
    expect(ids('battery').length).toBe(Object.values(FAULTS).filter(({ place }) => place === 'pack').length);
    expect(ids('nothing is called that')).toEqual([]);
  });

  it('takes a need for that need and no other', () => {
    for (const need of ['U1', 'U13', 'U4']) {
      const meant = Object.values(FAULTS).filter(({ needs }) => needs.includes(need));
      expect(ids(need.toLowerCase())).toEqual(meant.map(({ id }) => id));
    }
  });

  it('groups by part in the order of the energy, each fault once', () => {
    const groups = byPart(ROWS);
    expect(groups.map(([text]) => text)).toEqual(Object.values(PLACES));
    expect(groups.flatMap(([, rows]) => rows)).toEqual(ROWS);
  });
});

describe('fields', () => {
  const asked = (id: string, change: Partial<Draft> = {}) => askOf(row(id), { ...freshDraft(row(id)), ...change });

  it('ask, untouched, for the usual fault; the worker takes it for every entry of the catalogue', () => {
    for (const each of ROWS) {
      const order = liveOrder(asked(each.id));
      const usual = FAULTS[each.id].size?.usual ?? 1;
      expect(Math.abs(order.size - usual), each.id).toBeLessThanOrEqual(5e-3 * Math.abs(usual)); // three figures
      expect(order).toMatchObject({ fault: each.id, shape: { kind: 'step' }, when: { kind: 'at once' } });
    }
  });

  it('turn the units that people read into SI', () => {
    expect(asked('shunt-gain', { size: '-35' }).size).toBeCloseTo(-0.35, 12);
    expect(asked('pack-resistance', { size: '40' }).size).toBeCloseTo(0.04, 12);
    const when = { when: 'when', signal: 'electricalSpeed', side: 'below', value: '100', held: '0.002' } as const;
    expect(asked('magnet-weak', when).when).toEqual({
      kind: 'when',
      signal: 'electricalSpeed',
      side: 'below',
      value: 200 * Math.PI,
      held_s: 0.002,
    });
  });

  it('take a comma and a real minus as people write them', () => {
    expect(asked('shunt-offset', { size: '\u22122,5' })).toMatchObject({ size: -2.5, leg: 'a' });
  });

  it('leave out what is left empty, and take the shape that is chosen', () => {
    expect(asked('magnet-weak')).not.toHaveProperty('for_s');
    expect(asked('magnet-weak', { stays: '0.5' }).for_s).toBe(0.5);
    expect(asked('magnet-weak', { shape: 'ramp', over: '2' }).shape).toEqual({ kind: 'ramp', over_s: 2 });
    expect(asked('magnet-weak', { when: 'at', at: '12' }).when).toEqual({ kind: 'at', at_s: 12 });
    expect(asked('phase-open')).not.toHaveProperty('size');
  });

  it('refuse what is no number, naming the field', () => {
    expect(() => asked('shunt-offset', { size: '' })).toThrow("Size: '' is no number");
    expect(() => asked('shunt-offset', { size: '2 A' })).toThrow("Size: '2 A' is no number");
    expect(() => asked('shunt-offset', { shape: 'ramp', over: 'slowly' })).toThrow("Grows over: 'slowly' is no number");
    expect(() => asked('shunt-offset', { size: '1e999' })).toThrow('is no number');
  });
});

describe('tape', () => {
  /** 100 px for 10 s that end at 20 s. */
  const x = (time_s: number) => (time_s - 10) * 10;

  it('covers a span where it is, cut to the track; one that lasts goes to the right edge', () => {
    expect(covered(12, 14, x, 0, 100)).toEqual([20, 40]);
    expect(covered(5, 14, x, 0, 100)).toEqual([0, 40]);
    expect(covered(12, Number.NaN, x, 0, 100)).toEqual([20, 100]);
    expect(covered(2, Number.NaN, x, 0, 100)).toEqual([0, 100]);
  });

  it('is not there for what lies before the track, after it, or lasts no time', () => {
    expect(covered(2, 9, x, 0, 100)).toBeUndefined();
    expect(covered(21, Number.NaN, x, 0, 100)).toBeUndefined();
    expect(covered(12, 12, x, 0, 100)).toBeUndefined();
  });
});

describe('count', () => {
  const faults = (...states: LiveFault['state'][]) => states.map((state) => ({ state }) as LiveFault);

  it('says how many act and how many are armed, and nothing when there are none', () => {
    expect(faultCount([])).toBe('');
    expect(faultCount(faults('armed'))).toBe('1 fault armed');
    expect(faultCount(faults('armed', 'waits'))).toBe('2 faults armed');
    expect(faultCount(faults('active'))).toBe('1 fault active');
    expect(faultCount(faults('active', 'active', 'armed'))).toBe('2 faults active, 1 armed');
  });
});
