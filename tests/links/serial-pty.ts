/** A serial port for tests: a pty that socat makes, with the board's end on the standard streams of socat. */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ServedController } from '../../src/links/served.ts';
import type { Controller } from '../../src/protocol/controller.ts';

export const hasSocat = spawnSync('socat', ['-V']).status === 0;

/** Whether the optional package is installed here. */
export const hasSerialport = await import('serialport').then(
  () => true,
  () => false,
);

export class Pty {
  /** Name of the port, valid while it is plugged in. */ readonly path: string;
  /** Lengths of what arrived at the board, as the kernel handed it over. */ readonly arrived: number[] = [];
  private readonly folder: string;
  private socat: ChildProcess | undefined;

  constructor() {
    this.folder = mkdtempSync(join(tmpdir(), 'phantom-pty-'));
    this.path = join(this.folder, 'ttyBoard');
  }

  /** Plugs the other end in: `hear` gets what the host writes, and returns what it writes to the host. */
  async plug(hear: (chunk: Uint8Array, say: (bytes: Uint8Array) => void) => void): Promise<void> {
    const socat = spawn('socat', ['-', this.address]);
    const say = (bytes: Uint8Array): boolean => socat.stdin.write(bytes.slice());
    socat.stdin.on('error', () => undefined);
    socat.stdout.on('data', (chunk: Buffer) => {
      this.arrived.push(chunk.length);
      hear(chunk, say);
    });
    await this.up(socat);
  }

  /** Plugs a controller in, after `mute_s` in which it is deaf, as a board that boots. */
  async plugController(controller: Controller, { mute_s = 0, banner = '', delay_ms = 0 } = {}): Promise<void> {
    let board: ServedController | undefined;
    let bootsAt_ms = Number.NaN;
    await this.plug((chunk, say) => {
      if (Number.isNaN(bootsAt_ms)) {
        bootsAt_ms = performance.now() + mute_s * 1000;
        if (banner !== '') say(new TextEncoder().encode(banner));
      }
      if (performance.now() < bootsAt_ms) return;
      board ??= new ServedController(controller, (bytes) => {
        const copy = bytes.slice();
        if (delay_ms === 0) say(copy);
        else setTimeout(() => say(copy), delay_ms);
      });
      board.receiver.push(chunk);
    });
  }

  /** Plugs a program in, frames on its standard streams. */
  async plugProgram(command: string): Promise<void> {
    await this.up(spawn('socat', [this.address, `SYSTEM:${command.replaceAll(/[:,!\\'"]/g, '\\$&')}`]));
  }

  async unplug(): Promise<void> {
    const { socat } = this;
    if (!socat || socat.exitCode !== null || socat.signalCode !== null) return;
    const gone = new Promise((resolve) => socat.once('exit', resolve));
    socat.kill();
    await gone;
  }

  async remove(): Promise<void> {
    await this.unplug();
    rmSync(this.folder, { recursive: true, force: true });
  }

  private get address(): string {
    return `PTY,link=${this.path},raw,echo=0`;
  }

  private async up(socat: ChildProcess): Promise<void> {
    this.socat = socat;
    for (let k = 0; !existsSync(this.path); k++) {
      if (k > 500) throw new Error('socat made no pty within 10 s');
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }
}
