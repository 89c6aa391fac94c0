/**
 * The starter as a bare program on an emulated Cortex-M4 and Cortex-M0, in lock-step over its UART.
 *
 * float32 sums, products and quotients are those of IEEE 754 in the floating-point unit of the M4, in the library of the
 * M0 and in this machine, and nothing fuses two of them; so the run must end in the same state to the last bit.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { json, sim } from '../cli/sim.ts';
import { make, missing } from '../support/c-native.ts';
import { type Machine, startMachine } from '../support/qemu.ts';
import { type Run, runShort, SHORT } from './same-hash-rig.ts';

const folder = mkdtempSync(join(tmpdir(), 'phantom-cortex-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const lacking = missing('gcc', 'make', 'arm-none-eabi-gcc', 'qemu-system-arm');

function build(kind: string): string {
  const out = join(folder, kind);
  make('ports/cortex-m', out, `KIND=${kind}`);
  return out;
}

describe('bare Cortex-M', () => {
  it('has its compiler and its emulator where changes are accepted', () => {
    expect(process.env.CI === 'true' ? lacking : []).toEqual([]);
  });

  if (lacking.length > 0) return;

  describe.each([
    ['STARTER_SIX_STEP', 'six-step starter', ''],
    ['STARTER_FOC', 'field-oriented starter', ' --foc'],
  ])('%s', (kind, name, option) => {
    let out: string;
    let here: Run;
    beforeAll(async () => {
      out = build(kind);
      make('.', folder);
      here = await runShort(`exec:${join(folder, 'starter')}${option}`);
      expect(here.verdict).toBe('passed');
    });

    it.each([
      ['Cortex-M4 with its floating-point unit', 'mps2-an386', 'cortex-m4'],
      ['Cortex-M0 without one, in 16 KB of RAM', 'microbit', 'cortex-m0'],
    ])('seats a screw on a %s and ends as on this machine', async (_, machine, program) => {
      const board: Machine = await startMachine(machine, join(out, `${program}.elf`));
      try {
        const there = await runShort(`tcp:${board.place}`);
        expect(there).toMatchObject({ verdict: 'passed', coupling: 'lock-step', board: name, lostTime_s: 0 });
        expect(there.answered).toBe(here.answered);
        expect(there.answered).toBeGreaterThan(4000);
        expect(there.stateHash).toBe(here.stateHash);
      } finally {
        await board.close();
      }
    });
  });

  it('passes on the command line, as a user runs it', async () => {
    const board = await startMachine('mps2-an386', join(build('STARTER_SIX_STEP'), 'cortex-m4.elf'));
    try {
      const out = join(folder, 'run.json');
      const run = await sim('run', SHORT, '--controller', `tcp:${board.place}`, '--json', out);
      expect(`${run.code} ${run.out}`).toMatch(/^0 /);
      const link = { wrongTick: 0, repeated: 0, drops: { badCrc: 0, badCobs: 0, tooLong: 0 } };
      expect(json(out)).toMatchObject({ verdict: 'passed', coupling: 'lock-step', lostTime_s: 0, link });
    } finally {
      await board.close();
    }
  });
});
