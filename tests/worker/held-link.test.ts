/** A link with a hand on its legs: Stop does not wait for the board, and no late answer reaches the drill. */
import { describe, expect, it } from 'vitest';
import type { LinkLoss, LockStepLink } from '../../src/links/link.ts';
import { openMemoryLink } from '../../src/links/memory.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import type { Drive, Sense } from '../../src/protocol/frames.ts';
import { HeldLink } from '../../worker/held-link.ts';
import { echoController } from '../links/echo-controller.ts';
import { expectNear } from '../support/near.ts';

/** Counts of 100 ns. */
const BUSY_COUNTS = 100;
const BUSY_S = 1e-5;

/** A link whose answers the test gives when it likes. */
async function slowLink() {
  const inner = await openMemoryLink(echoController());
  const asked: { tick: number; answer(gates: number): void; lose(loss: LinkLoss): void }[] = [];
  const link: LockStepLink = {
    ...inner,
    exchange: (sense: Sense, drive: Drive) =>
      new Promise((resolve) => {
        const { tick } = sense;
        asked.push({
          tick,
          answer(gates) {
            drive.tick = tick;
            drive.gates = gates;
            drive.busy = BUSY_COUNTS;
            resolve('ok');
          },
          lose: resolve,
        });
      }),
  };
  const held = new HeldLink(link);
  const sense = blankSense();
  const drive = blankDrive(inner.hello.watch.length);
  const ask = (tick: number) => {
    sense.tick = tick;
    return held.exchange(sense, drive);
  };
  return { held, asked, drive, ask };
}

describe('a held link', () => {
  it('passes answers on and keeps their time', async () => {
    const { held, asked, drive, ask } = await slowLink();
    const answer = ask(5);
    expect(held.waited_s).toBeGreaterThanOrEqual(0);
    asked[0].answer(3);
    expect(await answer).toBe('ok');
    expect([drive.tick, drive.gates]).toEqual([5, 3]);
    expect(held.waited_s).toBe(0);
    const figures = held.take();
    expect(figures.count).toBe(1);
    const because = 'one rounding';
    expectNear(figures.busy_s, BUSY_S, { abs: 1e-18, because });
    expectNear(figures.busyMost_s, BUSY_S, { abs: 1e-18, because });
    expect(held.take()).toMatchObject({ count: 0, busy_s: 0 });
  });

  it('ends the wait at Stop with open legs, leaves one tick out, and waits then', async () => {
    const { held, asked, drive, ask } = await slowLink();
    const waiting = ask(5);
    held.held = true;
    expect(await waiting).toBe('ok');
    expect([drive.tick, drive.gates]).toEqual([5, 0]);
    expect(await ask(6)).toBe('ok');
    expect([drive.tick, drive.gates]).toEqual([6, 0]);
    let ended = false;
    const next = ask(7).then(() => {
      ended = true;
    });
    await new Promise((turn) => setTimeout(turn));
    expect(ended).toBe(false);
    expect(asked).toHaveLength(1);
    asked[0].answer(7);
    await new Promise((turn) => setTimeout(turn));
    asked[1].answer(5);
    await next;
    expect([drive.tick, drive.gates]).toEqual([7, 0]);
  });

  it('lets a late answer reach nothing, and asks anew for the tick that is due then', async () => {
    const { held, asked, drive, ask } = await slowLink();
    const waiting = ask(5);
    held.held = true;
    await waiting;
    held.held = false;
    const next = ask(7);
    expect(asked).toHaveLength(1);
    asked[0].answer(7);
    await new Promise((turn) => setTimeout(turn));
    expect(asked.map(({ tick }) => tick)).toEqual([5, 7]);
    asked[1].answer(3);
    expect(await next).toBe('ok');
    expect([drive.tick, drive.gates]).toEqual([7, 3]);
  });

  it('passes a loss on, be it waited for or not', async () => {
    const loss: LinkLoss = { cause: 'no answer', message: 'gone' };
    const first = await slowLink();
    const waiting = first.ask(1);
    first.asked[0].lose(loss);
    expect(await waiting).toBe(loss);
    const second = await slowLink();
    const ended = second.ask(1);
    second.held.held = true;
    expect(await ended).toBe('ok');
    second.asked[0].lose(loss);
    await new Promise((turn) => setTimeout(turn));
    const next = second.ask(2);
    second.asked[1].lose(loss);
    expect(await next).toBe(loss);
  });
});
