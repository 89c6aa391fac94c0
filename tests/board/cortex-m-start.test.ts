/** What comes before main on a Cortex-M, and what a drill sees when the board is reset under way. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { openLink } from '../../src/links/node-kinds.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { RawSocket } from '../links/ws-server.ts';
import { BOARD, make, missing } from '../support/c-native.ts';
import { startMachine } from '../support/qemu.ts';

const PORT = join(BOARD, 'ports/cortex-m');
const M4 = ['-mcpu=cortex-m4', '-mfpu=fpv4-sp-d16', '-mfloat-abi=hard', '-Tmps2-an386.ld', 'uart_cmsdk.c'];
const M0 = ['-mcpu=cortex-m0', '-mfloat-abi=soft', '-Tmicrobit.ld', 'uart_nrf51.c'];
const lacking = missing('make', 'arm-none-eabi-gcc', 'qemu-system-arm');
const folder = mkdtempSync(join(tmpdir(), 'phantom-start-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('start-up of a bare Cortex-M', () => {
  it('has its compiler and its emulator where changes are accepted', () => {
    expect(process.env.CI === 'true' ? lacking : []).toEqual([]);
  });

  if (lacking.length > 0) return;

  it.each([
    ['mps2-an386', M4],
    ['microbit', M0],
  ])('fills and clears the memory of a %s at every reset, and can divide', async (machine, parts) => {
    const program = join(folder, `${machine}.elf`);
    const main = fileURLToPath(new URL('./cortex-m-start.c', import.meta.url));
    const flags = [
      '-I.',
      '-L.',
      '-std=c99',
      '-O2',
      '-mthumb',
      '-nostartfiles',
      '--specs=nano.specs',
      '-Wl,--gc-sections',
    ];
    const args = [...flags, ...parts, 'start.c', main, '-o', program];
    const built = spawnSync('arm-none-eabi-gcc', args, { cwd: PORT, encoding: 'utf8' });
    expect(`${built.status} ${built.stderr}`).toBe('0 ');

    const board = await startMachine(machine, program);
    try {
      const line = await RawSocket.connect(Number(board.place.split(':')[1]));
      const ask = async (byte: number) => {
        line.socket.write(Uint8Array.of(byte));
        const answer = await line.read(12);
        return [answer.readUInt32LE(0), answer.readUInt32LE(4), answer.readFloatLE(8)];
      };
      for (let boot = 0; boot < 2; boot++) {
        expect(await ask(1)).toEqual([0x12345678, 0, Math.fround(1 / 3)]);
        expect(await ask(255)).toEqual([0x12345679, 0xffffffff, 85]);
        board.reset();
        await new Promise((resolve) => setTimeout(resolve, 500));
      }
      line.socket.destroy();
    } finally {
      await board.close();
    }
  });

  it('says Hello after a reset, which the drill counts, and answers on', async () => {
    make('ports/cortex-m', folder, 'cortex-m4');
    const board = await startMachine('mps2-an386', join(folder, 'cortex-m4.elf'));
    try {
      const link = await openLink({ kind: 'tcp', what: board.place }, { hello_s: 30, answer_s: 30 });
      const drive = blankDrive(link.hello.watch.length);
      const exchange = (tick: number) => link.exchange({ ...blankSense(), tick }, drive);
      expect(link.hello.uid).toBe('cortex-m4');
      for (let tick = 1; tick <= 20; tick++) expect(await exchange(tick)).toBe('ok');
      expect(link.counters).toMatchObject({ answered: 20, restarts: 0 });
      board.reset();
      await expect.poll(() => link.counters.restarts, { timeout: 30_000 }).toBe(1);
      for (let tick = 21; tick <= 40; tick++) expect(await exchange(tick)).toBe('ok');
      expect(link.counters).toMatchObject({ answered: 40, restarts: 1, lost: 0 });
      await link.close();
    } finally {
      await board.close();
    }
  });
});
