/** A board that cannot drive is refused in words, and nothing moves. A scenario with a board gives the bits of Node. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openMemoryLink } from '../../src/links/memory.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { play } from '../../src/runner/play.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { socketServer } from '../links/ws-server.ts';
import { SHORT } from '../runner/rig.ts';
import { OpenPage } from '../support/page.ts';
import { serveBoard } from './board-rig.ts';

describe('a board that does not fit', () => {
  let open: OpenPage;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    await open.page.keyboard.press('Escape');
    await open.page.getByRole('button', { name: /Who drives/ }).click();
  });
  afterAll(async () => {
    await open?.close();
  });
  const sheet = () => open.page.locator('controller-sheet');
  const connect = async (address: string) => {
    await sheet()
      .getByLabel(/WebSocket/)
      .fill(address);
    await open.page.getByRole('button', { name: 'Connect', exact: true }).click();
  };
  const stillBuiltIn = async () => {
    await open.shows(/Nothing was started; the bench is as it was/);
    expect(await open.head('lockStep')).toBe(0);
  };

  it('because of its version says both versions', async () => {
    const board = await serveBoard({ hello: { version: 9 } });
    await connect(board.address);
    await open.shows('This board speaks another version');
    await open.shows(/the board speaks version 9, this is \d+/);
    await stillBuiltIn();
    await board.close();
  });

  it('because of its scales hears so itself, and every difference is on the page', async () => {
    const board = await serveBoard({ hello: { pwm_Hz: 16_000, linkPerCount_V: 0.02 } });
    await connect(board.address);
    await open.shows('This board does not fit the drill');
    await open.shows(/PWM frequency: the controller says 16000 Hz, the board has 20000 Hz/);
    await open.shows(/link voltage of one count: the controller says 0\.02 V/);
    await stillBuiltIn();
    await expect.poll(() => board.pages).toBe(0);
    await board.close();
  });

  it('because it stays silent can be given up', async () => {
    const mute = await socketServer(() => undefined);
    await connect(mute.address);
    await open.shows('No answer yet');
    await open.page.getByRole('button', { name: 'Give up' }).click();
    await open.shows('Given up');
    await stillBuiltIn();
    await mute.close();
  });

  it('because there is none says what is allowed, or that nobody listens', async () => {
    await connect('127.0.0.1:5301');
    await open.shows(/allowed is ws:\/\/HOST:PORT\/PATH/);
    const gone = await serveBoard();
    await gone.close();
    await connect(gone.address);
    await open.shows(/nobody listens there/);
    await stillBuiltIn();
  });

  it('raises no error of its own; only the browser tells of the connection that failed', () => {
    expect(open.problems.filter((text) => !/WebSocket connection to .* failed/.test(text))).toEqual([]);
  });
});

describe('a scenario with a board at an address', () => {
  it('ends with the same state hash in the page and in Node', async () => {
    const board = await serveBoard();
    const open = await OpenPage.open({ noGl: true });
    try {
      const there = await open.page.evaluate(
        async ([scenario, address]) => {
          interface Insight {
            session: { api: { playScenario(scenario: unknown, address: string): Promise<{ stateHash: string }> } };
          }
          const { session } = document.querySelector('spindle-page') as unknown as Insight;
          return session.api.playScenario(scenario, address);
        },
        [SHORT, board.address] as const,
      );
      const fit = boardFor(BENCH_18);
      const link = await openMemoryLink(builtInFor('hall-six-step', BENCH_18, fit));
      const options = { drill: BENCH_18, board: fit, seed: SHORT.seed, h_s: SHORT.step_s };
      const here = await play(SHORT, new LockStepBench({ ...options, link }));
      expect(here.verdict).toBe('passed');
      expect(link.counters.answered).toBeGreaterThan(1000);
      expect(there).toEqual({ verdict: 'passed', why: '', stateHash: here.stateHash, ticks: 2000 });
    } finally {
      await open.close();
      await board.close();
    }
  });
});
