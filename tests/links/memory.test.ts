import { describe, expect, it } from 'vitest';
import { openMemoryLink } from '../../src/links/memory.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';
import { echoController } from './echo-controller.ts';

describe('memory link', () => {
  it('carries every field as frames would', async () => {
    const link = await openMemoryLink(echoController());
    const sense = { ...blankSense(), tick: 7, flags: 3, ia: 1, ib: 2, ic: 65_535, link: 2031 };
    const drive = blankDrive(1);
    expect(await link.exchange(sense, drive)).toBe('ok');
    expect(drive).toMatchObject({ tick: 7, gates: 3, dutyA: 1, dutyB: 2, dutyC: 65_535 });
    expect(drive.watch[0]).toBe(2031);
    expect(link.hello).toEqual(HELLO_SAMPLE);
    expect(link.counters).toMatchObject({ sent: 1, answered: 1, late: 0, repeated: 0, hellos: 1 });
    await link.close();
  });

  it('loses a controller that throws, and leaves the command alone', async () => {
    const broken = {
      ...echoController(),
      tick: () => {
        throw new Error('no such sector');
      },
    };
    const link = await openMemoryLink(broken);
    const drive = blankDrive(1);
    const loss = await link.exchange(blankSense(), drive);
    expect(loss).toMatchObject({ cause: 'exited' });
    expect(loss).toHaveProperty('message', 'six-step board: the controller threw after 0 answers: no such sector');
    expect(drive).toEqual(blankDrive(1));
    expect(await link.exchange(blankSense(), drive)).toBe(loss);
    await link.close();
  });

  it('loses a controller that answers another tick', async () => {
    const echo = echoController();
    const wrong = {
      ...echo,
      tick: (...[sense, drive]: Parameters<typeof echo.tick>) => echo.tick({ ...sense, tick: 9 }, drive),
    };
    const link = await openMemoryLink(wrong);
    expect(await link.exchange({ ...blankSense(), tick: 4 }, blankDrive(1))).toMatchObject({
      cause: 'wrong tick',
      message: 'six-step board: an answer is for tick 9; asked was tick 4',
    });
    await link.close();
  });
});
