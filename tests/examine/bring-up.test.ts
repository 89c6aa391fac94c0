/** One thing at a time on the pins: counts follow from the scales of Hello, and a wrong board is seen for what it is. */
import { describe, expect, it } from 'vitest';
import { stepLines } from '../../src/cli/bring-up.ts';
import { readInjection } from '../../src/cli/injection-text.ts';
import { tourFor } from '../../src/cli/tour.ts';
import { BringUp, type BringUpStep } from '../../src/examine/bring-up.ts';
import { heatCounts, heatOf_K } from '../../src/examine/pins.ts';
import type { WatchRow } from '../../src/examine/watch-rows.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { SENSE_HALL_A, SENSE_HALL_B, SENSE_HALL_C, SENSE_IN, SENSE_OUT } from '../../src/protocol/frames.ts';
import { BENCH_BOARD, boardParams } from '../../src/sensing/board.ts';
import { thermistorCounts } from '../../src/sensing/thermistor.ts';
import { expectNear } from '../support/near.ts';
import { served, sound, wireTo } from './boards.ts';
import { type Readings, readingBoard } from './odd-readings.ts';

async function stepOf(controller: Controller, ...texts: string[]): Promise<BringUpStep> {
  const wire = await wireTo((say) => served(controller, say))();
  const board = await BringUp.open(wire, { answer_s: 1, hello_s: 1 });
  const injections = texts.map((text) => readInjection('--only', text, board.hello));
  return board.step(injections, 0);
}

const rowOf = (step: BringUpStep, name: string): WatchRow => step.rows.find((row) => row.name === name)!;
const hints = (step: BringUpStep): Record<string, string> =>
  Object.fromEntries(step.rows.filter(({ hint }) => hint !== '').map(({ name, hint }) => [name, hint]));

describe('what is put on the pins', () => {
  // By hand: 10 A / 0.0805664 A = 124.12 counts above 2048; 20 V / 0.0088623 V = 2256.75; half of 410 to 3686 is 2048.
  it.each([
    ['ia=10A', { ia: 2172, ib: 2048, ic: 2048 }],
    ['ib=-10A', { ia: 2048, ib: 1924, ic: 2048 }],
    ['ic=500mA', { ia: 2048, ib: 2048, ic: 2054 }],
    ['link=20V', { ia: 2048, link: 2257 }],
    ['trigger=50%', { trigger: 2048, link: 2031 }],
    ['direction=in', { flags: SENSE_IN | SENSE_HALL_A, trigger: 410 }],
    ['direction=OUT', { flags: SENSE_OUT | SENSE_HALL_A }],
    ['angle=60deg', { flags: SENSE_HALL_A | SENSE_HALL_B }],
    ['angle=180 deg', { flags: SENSE_HALL_B | SENSE_HALL_C }],
    ['angle=-60deg', { flags: SENSE_HALL_A | SENSE_HALL_C }],
    ['hall=B', { flags: SENSE_HALL_B, hallAge: 0xffff }],
    ['hall=none', { flags: 0 }],
  ])('%s changes that pin and no other', async (text, pins) => {
    const { sent, quiet } = await stepOf(readingBoard(), text);
    expect(sent).toMatchObject(pins);
    const changed = Object.keys(sent).filter((key) => sent[key as 'ia'] !== quiet[key as 'ia']);
    expect(changed.length).toBe(1);
  });

  it('reads a thermistor by the law that Hello declares', () => {
    const { hello } = sound();
    // At 25 °C the part has its nominal resistance, equal to the pull-up of this board: half of 4096.
    expect(heatCounts(hello, 298.15)).toBe(2048);
    // The sensors of the bench, their corrections to the law of one B left out, give the same count but for the full scale.
    const bench = boardParams({ ...BENCH_BOARD, ntcC_1_K: 0, ntcD_1_K2: 0 });
    const rounding = 'one takes 4096 for the whole, the other 4095, and one rounds: together 1.5 counts';
    for (const heat_K of [263.15, 333.15, 393.15])
      expectNear(heatCounts(hello, heat_K), thermistorCounts(bench, heat_K), { abs: 1.5, because: rounding });
    const because = 'one count of 4096 is 0.04 K there, rounded to half of it';
    expectNear(heatOf_K(hello, heatCounts(hello, 333.15)), 333.15, { abs: 0.03, because });
  });
});

describe('a board beside what was sent', () => {
  it('deviates nowhere when its readings are right', async () => {
    for (const text of ['ia=10A', 'ib=-20A', 'ic=3A', 'link=16V', 'trigger=50%', 'angle=120deg', 'angle=300deg']) {
      expect(hints(await stepOf(readingBoard(), text)), text).toEqual({});
    }
    const row = rowOf(await stepOf(readingBoard(), 'ia=10A'), 'current A');
    const because = 'counts are whole: half a count is 0.04 A, and the board carries float32';
    expectNear(row.after, 10, { abs: 0.041, because });
    expect(row.before).toBe(0);
    expectNear(row.expected ?? Number.NaN, row.after, { abs: 1e-5, because: 'float32 of a value of 10' });
  });

  const spoiled = (error: (readings: Readings) => void) => readingBoard(error);
  it('is told that two phases are swapped', async () => {
    const swapped = spoiled(({ currents_A }) => {
      [currents_A[0], currents_A[1]] = [currents_A[1], currents_A[0]];
    });
    expect(hints(await stepOf(swapped, 'ia=10A'))).toEqual({
      'current A': 'does not follow',
      'current B': 'follows ia: are two phases swapped?',
    });
    expect(hints(await stepOf(swapped, 'ic=10A'))).toEqual({});
  });

  it('is told that a sign is turned round', async () => {
    const turned = spoiled(({ currents_A }) => {
      currents_A[1] = -currents_A[1];
    });
    expect(hints(await stepOf(turned, 'ib=10A'))).toEqual({ 'current B': 'its sign is turned round' });
    expect(hints(await stepOf(turned, 'ia=10A'))).toEqual({});
  });

  it('is told that a gain is wrong, and by how much', async () => {
    const loud = spoiled(({ currents_A }) => {
      currents_A[2] *= 2.5;
    });
    expect(hints(await stepOf(loud, 'ic=-10A'))).toEqual({ 'current C': 'its scale is off by a factor of 2.50' });
    const divider = spoiled((readings) => {
      readings.link_V *= 10 / 11;
    });
    expect(hints(await stepOf(divider, 'ia=10A'))).toEqual({ link: 'its scale is off by a factor of 0.909' });
  });

  it('is told that an offset stays and that a channel reaches another', async () => {
    const offset = spoiled(({ currents_A }) => {
      currents_A[0] += 2;
    });
    expect(hints(await stepOf(offset, 'link=16V'))).toEqual({ 'current A': 'nothing was sent here' });
    const cross = spoiled(({ currents_A }) => {
      currents_A[2] += 0.3 * currents_A[0];
    });
    expect(hints(await stepOf(cross, 'ia=10A'))).toEqual({ 'current C': 'nothing was sent here: does ia reach it?' });
  });

  it('is told that Halls are swapped or turned', async () => {
    const mirrored = spoiled((readings) => {
      readings.angle_rad = -readings.angle_rad;
    });
    expect(hints(await stepOf(mirrored, 'angle=60deg'))).toEqual({
      angle: 'turns the other way: are two Halls swapped?',
    });
    const shifted = spoiled((readings) => {
      readings.angle_rad += (2 * Math.PI) / 3;
    });
    expect(hints(await stepOf(shifted, 'angle=60deg'))).toEqual({ angle: 'is off by 120 deg el' });
  });

  it('is not blamed for a value that is still on its way', async () => {
    let low_A = 0;
    const slow = spoiled(({ currents_A }) => {
      low_A += 0.02 * (currents_A[0] - low_A);
      currents_A[0] = low_A;
    });
    const row = rowOf(await stepOf(slow, 'ia=10A'), 'current A');
    expect(row.after).toBeGreaterThan(2);
    expect(row.after).toBeLessThan(9);
    expect(row).toMatchObject({ hint: '', moving: true });
  });

  it('is told which unit or signal it states wrongly', async () => {
    const { hello } = readingBoard();
    const watch = [
      { name: 'current A', unit: 'V', signal: 'currentA' },
      { name: 'current B', unit: 'A', signal: 'curentB' },
      ...hello.watch.slice(2),
    ];
    expect(hints(await stepOf(readingBoard(undefined, { ...hello, watch }), 'ia=10A'))).toEqual({
      'current A': "unit 'V' does not measure currentA",
      'current B': "no signal of the bench is called 'curentB'",
    });
  });
});

describe('what is printed', () => {
  it('has counts and SI side by side, the quiet count, and the hint below its row, within 100 columns', async () => {
    const turned = readingBoard(({ currents_A }) => {
      currents_A[0] = -currents_A[0];
    });
    const injections = [readInjection('--only', 'ia=10A', turned.hello)];
    const lines = stepLines(await stepOf(turned, 'ia=10A'), { injections, look: '' }, [])
      .join('\n')
      .split('\n');
    // biome-ignore lint/suspicious/noControlCharactersInRegex: colors are taken out
    const plain = lines.map((line) => line.replace(/\u001b\[\d+m/g, ''));
    expect(plain.find((line) => /^ {4}ia /.test(line))).toMatch(/^ {4}ia +2172 {2}9\.99 A +<- 2048$/);
    expect(plain.find((line) => /^ {4}ib /.test(line))).toMatch(/^ {4}ib +2048 {2}0 A$/);
    const at = plain.findIndex((line) => line.startsWith('    current A [A]'));
    expect(plain[at]).toMatch(/^ {4}current A \[A\] +0 +-9\.99 +9\.99 +-19\.98 {2}currentA$/);
    expect(plain[at + 1].trim()).toBe('^ its sign is turned round');
    for (const line of plain) expect(line.length, line).toBeLessThanOrEqual(100);
  });

  it('tells what happened on the way when the board changes its mind', async () => {
    const step = await stepOf(sound(), 'direction=in', 'trigger=40%', 'angle=60deg');
    // 60 degrees, towards rising angle: the EMF is largest in B and smallest in A.
    expect(step.changes.map(({ text }) => text)).toContain('STATE_RUNNING; A low, B PWM, C open');
    expect(step.before.gates).toBe(0);
  });
});

describe('the tour', () => {
  it('shows a board everything that it has, and nothing that it lacks', async () => {
    const names = (controller: Controller) => {
      const board = controller.hello;
      const stops = tourFor(board, { ...QUIET });
      return stops.flatMap(({ injections }) => injections.map(({ name }) => name));
    };
    expect(new Set(names(sound()))).toEqual(
      new Set(['ia', 'ib', 'ic', 'link', 'trigger', 'direction', 'angle', 'hall', 'bridge', 'motor']),
    );
    const { ntc_ohm: _a, ntcB_K: _b, ntcPullUp_ohm: _c, ...bare } = sound().hello;
    const few = { hello: { ...bare, halls: false, shunts: 'ab' as const }, tick: () => undefined };
    expect(new Set(names(few))).toEqual(new Set(['ia', 'ib', 'link', 'trigger', 'direction']));
    for (const { look } of tourFor(sound().hello, QUIET)) expect(look.length).toBeGreaterThan(20);
  });
});

const QUIET = (await stepOf(sound())).quiet;
