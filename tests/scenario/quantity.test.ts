import { describe, expect, it } from 'vitest';
import { KINDS } from '../../src/scenario/kinds.ts';
import { quantityPattern, readQuantity, readWithUnit, unitsLike } from '../../src/scenario/quantity.ts';
import { expectNear } from '../support/near.ts';

const EXACT = { abs: 1e-15, because: 'one multiplication with a factor that is rounded once' };

function si(text: string, units: readonly string[]): number {
  const read = readWithUnit(text, units);
  if (!read.ok) throw new Error(read.why);
  return read.si;
}

describe('quantity', () => {
  it('reads a number with its unit into SI', () => {
    expectNear(si('60 %', ['%']), 0.6, EXACT);
    expectNear(si('0.05 s', ['s', 'ms']), 0.05, EXACT);
    expectNear(si('58 mm', ['mm']), 0.058, EXACT);
    expectNear(si('-2.5e1 ms', ['s', 'ms']), -0.025, EXACT);
    expectNear(si('.5us', ['us']), 0.5e-6, EXACT);
  });

  it.each(['6 N·m', '6 N m', '6 Nm', '6N·m', ' 6 N·m '])('takes %j as six newton meters', (text) => {
    expect(si(text, ['N·m'])).toBe(6);
  });

  it.each(['1 us', '1 µs', '1 μs'])('takes %j as a microsecond, whichever mu the keyboard has', (text) => {
    expectNear(si(text, ['us']), 1e-6, { abs: 1e-21, because: EXACT.because });
  });

  it('refuses a number without a unit and shows how to write it', () => {
    expect(readQuantity(5, KINDS.duration)).toEqual({
      ok: false,
      why: "5 has no unit; write it as '5 s', allowed are s, ms, us",
    });
  });

  it('refuses a unit that measures something else', () => {
    expect(readQuantity('5 mm', KINDS.duration)).toEqual({
      ok: false,
      why: "'5 mm' has the unit mm; allowed are s, ms, us",
    });
  });

  it.each([null, true, [], {}, 'soon', ''])('refuses %j, which is no number', (value) => {
    const read = readQuantity(value, KINDS.trigger);
    expect(read.ok).toBe(false);
    expect(!read.ok && read.why).toContain("is not a number with a unit; write it as '0 %', allowed is %");
  });

  it('takes both ends of a range and nothing beyond', () => {
    for (const text of ['0 %', '100 %']) expect(readQuantity(text, KINDS.trigger).ok).toBe(true);
    for (const text of ['-0.1 %', '100.1 %', '1e99 %']) {
      expect(readQuantity(text, KINDS.trigger)).toEqual({
        ok: false,
        why: `${text} is out of range; allowed is 0 % to 100 %`,
      });
    }
    for (const text of ['0.25 us', '2 us']) expect(readQuantity(text, KINDS.step).ok).toBe(true);
  });

  it('gives editors a pattern that agrees with the reader', () => {
    const pattern = new RegExp(quantityPattern(KINDS.grip.units), 'u');
    for (const text of ['6 N·m', '6Nm', '1.5e3 mN·m', '6 N m']) expect(pattern.test(text)).toBe(true);
    for (const text of ['6', 'N·m', '6 N', '6 N·m each', '6,5 N·m']) expect(pattern.test(text)).toBe(false);
  });

  it('keeps electrical and mechanical angles and speeds apart', () => {
    expect(unitsLike('rpm')).toEqual(['rpm', 'rad/s']);
    expect(unitsLike('Hz el')).toEqual(['Hz el']);
    expect(unitsLike('kN')).toEqual(['kN', 'N']);
    expect(unitsLike('%')).toEqual(['%']);
  });
});
