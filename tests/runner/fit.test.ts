import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import type { Hello } from '../../src/protocol/hello.ts';
import { misfits } from '../../src/runner/fit.ts';
import { BENCH_BOARD, boardParams } from '../../src/sensing/board.ts';
import { sixStep } from './rig.ts';

const HELLO = sixStep().hello;
const said = (change: Partial<Hello>, board = BENCH_BOARD) => misfits({ ...HELLO, ...change }, board, BENCH_18);

describe('fit of a controller to its board', () => {
  it('finds nothing wrong with the built-in controller', () => {
    expect(said({})).toEqual([]);
  });

  it('lets scales differ by part tolerance and refuses more, naming both values', () => {
    expect(said({ linkPerCount_V: HELLO.linkPerCount_V * 1.0099 })).toEqual([]);
    expect(said({ linkPerCount_V: HELLO.linkPerCount_V * 1.02 })).toEqual([
      'link voltage of one count: the controller says 0.00903955 V, the board has 0.0088623 V',
    ]);
    expect(said({ currentPerCount_A: 0.04 })).toEqual([
      'current of one count: the controller says 0.04 A, the board has 0.0805664 A',
    ]);
    expect(said({ currentZero_counts: 0 })).toEqual([
      'zero current: the controller says 0 counts, the board has 2048 counts',
    ]);
  });

  it('refuses another PWM frequency and another protocol', () => {
    expect(said({ pwm_Hz: 16_000, version: 9 })).toEqual([
      'protocol version: the controller says 9, this program speaks 3',
      'PWM frequency: the controller says 16000 Hz, the board has 20000 Hz',
    ]);
  });

  it('takes a controller that reads fewer shunts than are fitted, and refuses one that reads more', () => {
    expect(said({ shunts: 'ab' })).toEqual([]);
    expect(said({}, boardParams({ ...BENCH_BOARD, shunts: 'ab' }))).toEqual([
      'shunts: the controller reads abc, the board has ab fitted',
    ]);
  });

  it('refuses a drill whose pack goes beyond what the board can read', () => {
    expect(misfits(HELLO, BENCH_BOARD, PRESETS['heavy-36'])).toEqual([
      'link voltage: a full pack of heavy-36 has 41.75 V, the board reads up to 36.3 V',
    ]);
  });

  it('refuses a controller that needs Halls on a board without', () => {
    expect(said({}, boardParams({ ...BENCH_BOARD, halls: false }))).toEqual([
      'Halls: the controller needs them, the board has none',
    ]);
  });
});
