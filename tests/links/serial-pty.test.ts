/**
 * The serial link of Node over a real terminal device: a pty pair of socat, a board on its other end. A pty has no bit rate
 * and no modem lines, so neither is checked here. Runs where socat and the package serialport are.
 */
import { afterEach, describe, expect, it } from 'vitest';
import { SetUpError } from '../../src/links/errors.ts';
import type { LinkLoss, LockStepLink } from '../../src/links/link.ts';
import { openLink } from '../../src/links/node-kinds.ts';
import { openSerialLink, openSerialWire } from '../../src/links/node-serial.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { starterCommand } from '../support/c-starter.ts';
import { echoController } from './echo-controller.ts';
import { hasSerialport, hasSocat, Pty } from './serial-pty.ts';

const quiet = { hello_s: 20, onText: () => undefined };

describe.runIf(hasSocat && hasSerialport)('serial link over a pty', () => {
  let pty: Pty;
  const plugged = async (...how: Parameters<Pty['plugController']>): Promise<string> => {
    pty = new Pty();
    await pty.plugController(...how);
    return pty.path;
  };
  afterEach(() => pty.remove());

  it('greets, measures its round trip, and exchanges frames', async () => {
    const what = `${await plugged(echoController())}@921600`;
    const link = await openLink({ kind: 'serial', what }, quiet);
    expect(link).toMatchObject({ name: `serial:${what}`, baud: 921_600, roundTrip: { missed: 0 } });
    expect(link.roundTrip?.count).toBeGreaterThanOrEqual(5);
    const sense = blankSense();
    const drive = blankDrive(1);
    for (let k = 0; k < 200; k++) {
      sense.tick = k;
      sense.ib = k;
      expect(await link.exchange(sense, drive)).toBe('ok');
      expect(drive.dutyB).toBe(k);
    }
    expect(link.counters).toMatchObject({ sent: 200, answered: 200, restarts: 0, drops: { badCrc: 0, badCobs: 0 } });
    await link.close();
    await link.close();
  });

  it('drives the C starter', async () => {
    pty = new Pty();
    await pty.plugProgram(await starterCommand());
    const link = await openSerialLink(pty.path, quiet);
    const sense = blankSense();
    const drive = blankDrive(link.hello.watch.length);
    for (let k = 1; k <= 300; k++) {
      sense.tick = k;
      expect(await link.exchange(sense, drive)).toBe('ok');
      expect(drive.tick).toBe(k);
    }
    expect(link.counters).toMatchObject({ answered: 300, drops: { badCrc: 0, badCobs: 0, tooLong: 0 } });
    await link.close();
  });

  it('waits for a board that its opening has reset, reads past what it prints, and counts no restart', async () => {
    const boot = { mute_s: 1.2, banner: 'rst:0x1 (POWERON), boot:0x13\r\nready\r\n' };
    const link = await openSerialLink(await plugged(echoController(), boot), quiet);
    expect(await link.exchange(blankSense(), blankDrive(1))).toBe('ok');
    expect(link.counters).toMatchObject({ restarts: 0, answered: 1 });
    expect(pty.arrived.length).toBeGreaterThanOrEqual(3); // it was greeted again and again
    await link.close();
  });

  it('is refused for lock-step when its round trip is too long, with the figures, and the port is free again', async () => {
    const what = await plugged(echoController(), { delay_ms: 60 });
    const failure = await openLink({ kind: 'serial', what }, quiet).catch((error) => error);
    expect(failure).toBeInstanceOf(SetUpError);
    expect(failure.message).toMatch(/^serial:\S+: round trip p50 [\d.]+ ms, .* for lock-step a p50 of at most 50 ms/);
    const link = await openSerialLink(what, { ...quiet, busy_s: 0 });
    expect(link.roundTrip?.p50_s).toBeGreaterThan(0.059);
    await link.close();
  });

  it('is lost as closed, by name, when the board is unplugged between two exchanges, idle or not', async () => {
    const path = await plugged(echoController());
    for (const busy of [false, true]) {
      const link = await openSerialLink(path, { ...quiet, beat_s: 0, answer_s: 5 });
      const running = busy ? runUntilLost(link) : undefined;
      await new Promise((resolve) => setTimeout(resolve, 100));
      await pty.unplug();
      const begun = performance.now();
      const loss = await (running ?? lostWhenAsked(link));
      expect(performance.now() - begun).toBeLessThan(3000); // noticed by the device, not by the limit for an answer
      expect(loss).toMatchObject({ cause: 'closed' });
      expect((loss as { message: string }).message).toMatch(/the port is gone: .*; was the board unplugged/);
      await link.close();
      await pty.plugController(echoController());
    }
  });

  it('says after its time that another program keeps the port, and opens when it lets go', async () => {
    const path = await plugged(echoController());
    const first = await openSerialLink(path, quiet);
    await expect(openSerialLink(path, { ...quiet, busy_s: 0.3 })).rejects.toThrow(
      `serial:${path}: another program has it open, and kept it for 0.3 s`,
    );
    const said: string[] = [];
    const second = openSerialLink(path, { ...quiet, onText: (line) => said.push(line) });
    await new Promise((resolve) => setTimeout(resolve, 400));
    await first.close();
    const link = await second;
    expect(said).toEqual([`serial:${path}: in use by another program; trying for 20 s`]);
    expect(await link.exchange(blankSense(), blankDrive(1))).toBe('ok');
    await link.close();
  });

  it.each([63, 64, 65, 127, 128, 511, 512, 513])('never hands over %i bytes as full packets alone', async (length) => {
    pty = new Pty();
    let heard = 0;
    const wanted = length % 64 === 0 ? length + 1 : length;
    await pty.plug((chunk) => {
      heard += chunk.length;
    });
    const wire = await openSerialWire(pty.path, quiet);
    wire.send(new Uint8Array(length).fill(1));
    await expect.poll(() => heard, { timeout: 10_000 }).toBeGreaterThanOrEqual(wanted);
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(heard).toBe(wanted);
    await wire.close();
  });
});

async function runUntilLost(link: LockStepLink): Promise<'ok' | LinkLoss> {
  const sense = blankSense();
  const drive = blankDrive(1);
  for (;;) {
    sense.tick++;
    const result = await link.exchange(sense, drive);
    if (result !== 'ok') return result;
  }
}

/** Asks once the loss must have been noticed. */
async function lostWhenAsked(link: LockStepLink): Promise<'ok' | LinkLoss> {
  await new Promise((resolve) => setTimeout(resolve, 1000));
  return link.exchange(blankSense(), blankDrive(1));
}
