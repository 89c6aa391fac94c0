/** What the report sees of a run: in which state a fault met the drill, and what is drawn. */
import { describe, expect, it } from 'vitest';
import { panelSvg } from '../../src/report/panel.ts';
import { cellsOf } from '../../src/report/sections/matrix.ts';
import { limitLines, RunWatch } from '../../src/report/watch.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { check, failing, report, run, watched } from './told.ts';

describe('the state of the drill', () => {
  it('is told by trigger and rotor', () => {
    const watch = new RunWatch([], 1, 0.1);
    const sample = new Float64Array(SIGNALS.length);
    //                time, trigger, speed, direction
    const steps = [
      [0.1, 0, 0, 1],
      [0.2, 1, 0, 1],
      [0.3, 1, 500, 1],
      [0.4, 0.5, 0, 1],
      [0.5, 0.5, 1500, 1],
      [0.6, 0.5, 1500, -1],
      [0.65, 0.5, -100, -1],
      [0.7, 0.5, -500, 0],
      [0.75, 0, 0, 1],
      [0.8, 1, 0, 1],
    ];
    for (const [t_s, trigger, speed, direction] of steps) {
      sample[SIGNAL_INDEX.time] = t_s;
      sample[SIGNAL_INDEX.trigger] = trigger;
      sample[SIGNAL_INDEX.motorSpeed] = speed;
      watch.see(sample, direction);
    }
    watch.end();
    expect(watch.states.map(({ state }) => state)).toEqual([
      'rest',
      'start',
      'slow',
      'stall',
      'fast',
      'reversal',
      'start',
      'coast',
      'rest',
      'start',
    ]);
    expect(watch.presses).toEqual([
      { from_s: 0.2, to_s: 0.75 },
      { from_s: 0.8, to_s: 0.8 },
    ]);
    expect([0, 0.25, 0.31, 0.45, 0.62, 0.72, 0.99].map((at_s) => watch.stateText(at_s))).toEqual([
      'at rest',
      'starting up',
      'slow',
      'stalled',
      'reversing',
      'coasting or braking',
      'starting up',
    ]);
  });
});

describe('the matrix', () => {
  // 20.8 A are left of 100 A.
  const LEAST = { share: 20.8 / 100, margin: '20.8\u00a0A' };

  it('has a cell for each fault in the state that it met, once', () => {
    const begins = (fault: string, at_s: number) => ({ fault, at_s, what: 'begins', met: '' });
    const two = run({
      verdict: 'failed',
      faults: [begins('phase-open', 0.1), begins('phase-open', 0.15), begins('magnet-weak', 0.03)],
    });
    const cells = cellsOf(report([two], { watched: new Map([[two, watched()]]) }));
    expect(cells).toEqual([
      { row: 'phase-open', column: 'slow', letter: 'F', least: LEAST },
      { row: 'magnet-weak', column: 'starting up', letter: 'F', least: LEAST },
    ]);
  });

  it('does not hide a fault that never began', () => {
    const never = run({ ordered: ['phase-open'] });
    expect(cellsOf(report([never]))).toEqual([{ row: 'phase-open', column: 'never began', letter: 'P', least: LEAST }]);
  });
});

describe('a panel', () => {
  const { watch, limits } = watched();
  const [channel] = watch.traces.channels;
  const facts = {
    channel,
    traces: watch.traces,
    duration_s: 0.25,
    presses: watch.presses,
    faults: [],
    limits: limits.get('currentQ') ?? [],
    id: 'p',
  };
  const failed = failing({ at_s: 0.148 });

  it('draws the limit at its height, the value that broke it, and the spike of a single tick', () => {
    const text = panelSvg({ ...facts, checks: [failed] })?.text ?? '';
    const number = (pattern: RegExp) => Number(pattern.exec(text)?.[1]);
    const limit = number(/limitline keep" d="M[\d.]+ ([\d.]+)H/);
    const cross = number(/mark f" d="M[\d.]+ ([\d.]+)l8/) + 4;
    // Marks on the axis tell the scale: two of them give the height of every value.
    const marks = [
      ...text.matchAll(/(?:rule|zero)" d="M54 ([\d.]+)H450"\/><text class="end" x="48" y="[\d.]+">([\d.]+)</g),
    ].map((m) => [Number(m[1]), Number(m[2])]);
    const [[y0, v0], [y1, v1]] = [marks[0], marks[marks.length - 1]];
    const height = (value: number) => y0 + ((value - v0) * (y1 - y0)) / (v1 - v0);
    const because = 'coordinates have one digit after the point; three of them round';
    expectNear(limit, height(100), { abs: 0.2, because });
    expectNear(cross, height(103.5), { abs: 0.2, because });
    expect(text).toContain('virtual time [ms]');
    expect(text).toContain('quadrature-axis current [A] over virtual time');
    expect(text.match(/class="press"/g)).toHaveLength(1);
  });

  it('does not draw the other side of a peak that was never there, and names a limit far away', () => {
    const far = {
      name: 'far',
      bound: 'at most' as const,
      kind: 'keep' as const,
      limit: 5000,
      from_s: 0,
      to_s: 0.25,
      sign: 0 as const,
    };
    const text = panelSvg({ ...facts, limits: [...facts.limits, far], checks: [check()] })?.text ?? '';
    expect(text.match(/limitline/g)).toHaveLength(1);
    expect(text).toContain('limit beyond the picture: at most 5000 A');
  });

  it('is left out for a signal without a reading', () => {
    const hall = watch.traces.channels.find(({ id }) => id === 'hall');
    expect(hall && panelSvg({ ...facts, channel: hall, checks: [] })).toBe(undefined);
  });
});

describe('limit lines', () => {
  it('tell what may not be crossed from what has to be reached', () => {
    const window = { from_s: 0.1, to_s: 0.2 };
    const of = (take: string, more: object) =>
      limitLines([{ name: 'x', signal: 'chuckAngle', take, ...window, ...more }], 1, (order) =>
        order === 0 ? 0.5 : undefined,
      )
        .get('chuckAngle')
        ?.map(({ kind, bound, sign }) => [kind, bound, sign]);
    expect(of('largest', { atLeast: 1, atMost: 2 })).toEqual([
      ['reach', 'at least', 0],
      ['keep', 'at most', 0],
    ]);
    expect(of('smallest', { atLeast: 1 })).toEqual([['keep', 'at least', 0]]);
    expect(of('last', { atMost: 1 })).toEqual([['reach', 'at most', 0]]);
    expect(of('peak', { atMost: 1 })).toEqual([
      ['keep', 'at most', 1],
      ['keep', 'at least', -1],
    ]);
    expect(of('every', { atLeast: 1, atMost: 2 })?.map(([kind]) => kind)).toEqual(['keep', 'keep']);
    expect(of('last', { atMost: 1, against: 'twin' })).toBe(undefined);
    expect(of('crossings', { atMost: 1 })).toBe(undefined);
  });

  it('lie over the window of the check: to the end of the run, or from the beginning of a fault', () => {
    const spec = {
      name: 'x',
      signal: 'chuckAngle',
      take: 'largest',
      from_s: 0.1,
      to_s: Number.POSITIVE_INFINITY,
      atMost: 1,
    };
    const windows = [spec, { ...spec, afterFault: 0, to_s: 0.2 }, { ...spec, afterFault: 1 }];
    const lines = limitLines(windows, 0.9, (order) => (order === 0 ? 0.5 : undefined)).get('chuckAngle') ?? [];
    expect(lines.map(({ from_s, to_s }) => [from_s, to_s])).toEqual([
      [0.1, 0.9],
      [0.6, 0.7],
    ]);
  });

  it('come in the unit that people read', () => {
    const [line] =
      limitLines([{ name: 'x', signal: 'chuckAngle', take: 'largest', from_s: 0, to_s: 1, atMost: Math.PI }], 1).get(
        'chuckAngle',
      ) ?? [];
    expectNear(line.limit, 180, { abs: 1e-12, because: 'rounding of one division' });
  });
});
