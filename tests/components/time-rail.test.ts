/** Moments, conditions and differences in words; the record of the page when the run goes back. */
import { describe, expect, it } from 'vitest';
import { shown } from '../../components/compare-sheet/compare-table.ts';
import { RunRecord } from '../../components/session/run-record.ts';
import { freezeText } from '../../components/time-rail/freeze-text.ts';
import { fineText, momentAt, placeOn } from '../../components/time-rail/moment.ts';
import { BLOCK_BYTES, blockViews, HEAD_INDEX, RUN, TICK } from '../../worker/block.ts';

describe('moments', () => {
  it('are told to a microsecond, at 10 h too', () => {
    expect(fineText(2.576412)).toBe('2.576\u2009412');
    expect(fineText(36_000 + 12e-6)).toBe('36000.000\u2009012');
  });

  it('lie on a whole tick under any pixel, and stay on the strip', () => {
    for (const x of [-5, 0, 17.3, 400, 900]) {
      const at_s = momentAt(x, 800, 36_000, 36_010, 50e-6);
      expect(at_s).toBeGreaterThanOrEqual(36_000);
      expect(at_s).toBeLessThanOrEqual(36_010);
      expect(Math.abs(at_s / 50e-6 - Math.round(at_s / 50e-6))).toBeLessThan(1e-6);
      if (x > 0 && x < 800) expect(Math.abs(placeOn(at_s, 36_000, 36_010, 800) - x)).toBeLessThan(0.01);
    }
  });
});

describe('a condition in words', () => {
  const info = { watch: [{ name: 'angle error', unit: 'rad' }] };

  it('names the signal and tells its level in the unit that people read', () => {
    const when = { kind: 'rises through', channel: 'motorSpeed', level: 100 * Math.PI, pre_s: 0 } as const;
    expect(freezeText(when, info)).toBe('mechanical speed of the rotor rises through 3000\u2009rpm');
    const heat = { kind: 'between', channel: 'windingHeat', level: 373.15, upper: 393.15, pre_s: 0 } as const;
    expect(freezeText(heat, info)).toBe('temperature of the winding is between 100\u2009°C and 120\u2009°C');
    expect(freezeText({ kind: 'above', channel: 'watch 0', level: 0.35, pre_s: 0 }, info)).toBe(
      'angle error is above 0.35',
    );
    expect(freezeText({ kind: 'event', event: 'trip', pre_s: 0 }, info)).toBe('the controller trips');
  });
});

describe('a difference', () => {
  it('has no zero point, a value has', () => {
    expect(shown(300.15, '°C', false)).toBe('27');
    expect(shown(3, '°C', true)).toBe('+3');
    expect(shown(-0.001, 'mm', true)).toBe('\u22121');
    expect(shown(-4e-16, 'A', false)).toBe('0');
    expect(shown(Number.NaN, 'A', true)).toBe('not known');
  });
});

describe('the record when the run goes back', () => {
  /** A block of whole columns and as many ticks, each holding its own number. */
  const block = (firstColumn: number, columns: number, turn: number) => {
    const views = blockViews(new ArrayBuffer(BLOCK_BYTES));
    const { head, run, ticks } = views;
    head[HEAD_INDEX.firstColumn] = firstColumn;
    head[HEAD_INDEX.columns] = columns;
    head[HEAD_INDEX.firstTick] = firstColumn * 100;
    head[HEAD_INDEX.ticks] = columns;
    head[HEAD_INDEX.turn] = turn;
    head[HEAD_INDEX.epoch] = 1;
    run.fill(0);
    for (let k = 0; k < columns; k++) {
      run.fill(firstColumn + k + turn * 1000, 2 * k * RUN.length, 2 * (k + 1) * RUN.length);
      ticks[k * TICK.length] = firstColumn * 100 + k;
    }
    return views;
  };

  it('keeps the columns before, drops those after, and takes those that come again', () => {
    const record = new RunRecord(20_000);
    record.absorb(block(0, 100, 0));
    record.absorb(block(100, 100, 0));
    record.absorb(block(150, 10, 1));
    expect([record.firstColumn, record.endColumn]).toEqual([0, 160]);
    expect([record.column(149, 0, 0), record.column(150, 0, 0), record.column(159, 0, 1)]).toEqual([149, 1150, 1159]);
    expect([record.firstTick, record.endTick, record.tick(15_003, 0)]).toEqual([15_000, 15_010, 15_003]);
  });

  it('goes back further than it has columns', () => {
    const record = new RunRecord(20_000);
    record.absorb(block(5000, 100, 0));
    record.absorb(block(20, 10, 1));
    expect([record.firstColumn, record.endColumn]).toEqual([20, 30]);
    expect(record.column(25, 0, 0)).toBe(1025);
  });
});
