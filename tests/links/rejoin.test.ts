import { describe, expect, it } from 'vitest';
import { LinkLostError, SetUpError } from '../../src/links/errors.ts';
import { type Joinable, type Opener, type Rejoined, type RejoinOptions, rejoin } from '../../src/links/rejoin.ts';
import type { Hello } from '../../src/protocol/hello.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';

/** A clock that moves only while someone waits. */
class Waiting {
  now = 0;
  readonly pauses: number[] = [];
  readonly said: string[] = [];
  /** Called in each pause. */ during: (pause: number) => void = () => undefined;

  options(more: RejoinOptions = {}): RejoinOptions {
    return {
      within_s: 20,
      now_ms: () => this.now,
      wait: async (time_ms) => {
        this.pauses.push(time_ms);
        this.now += time_ms;
        this.during(this.pauses.length);
      },
      onWords: (words) => this.said.push(words),
      ...more,
    };
  }
}

class Board implements Joinable {
  closed = 0;
  readonly name: string;
  readonly hello: Hello;
  constructor(name: string, more: Partial<Hello> = {}) {
    this.name = name;
    this.hello = { ...HELLO_SAMPLE, ...more };
  }
  async close(): Promise<void> {
    this.closed++;
  }
  opener(): Opener<Board> {
    return { name: this.name, open: async () => this };
  }
}

const absent = (name: string): Opener<Board> => ({
  name,
  open: () => Promise.reject(new SetUpError(`${name}: there is no such port`)),
});
const joinedLink = (result: Rejoined<Board>): Board | undefined => ('link' in result ? result.link : undefined);

describe('coming back to a board', () => {
  it('takes the one with the same Hello, though its port has another name', async () => {
    const waiting = new Waiting();
    const board = new Board('port 2');
    const result = await rejoin(HELLO_SAMPLE, async () => [absent('port 1'), board.opener()], waiting.options());
    expect(result).toEqual({ outcome: 'joined', link: board, rounds: 1 });
    expect(board.closed).toBe(0);
    expect(waiting).toMatchObject({ pauses: [], said: [] });
  });

  it('waits longer from round to round, and looks at what there is each time', async () => {
    const waiting = new Waiting();
    const board = new Board('port 1');
    let rounds = 0;
    const places = async () => (++rounds < 7 ? [absent('port 1')] : [board.opener()]);
    const result = await rejoin(HELLO_SAMPLE, places, waiting.options());
    expect(result).toMatchObject({ outcome: 'joined', rounds: 7 });
    expect(waiting.pauses).toEqual([250, 500, 1000, 2000, 4000, 4000]);
  });

  it('gives up after its time, and says what it heard instead', async () => {
    const waiting = new Waiting();
    const other = new Board('port 1', { uid: 'bench 8' });
    const result = await rejoin(HELLO_SAMPLE, async () => [other.opener()], waiting.options({ within_s: 3 }));
    const heard = 'port 1: another board answers, six-step board bench 8; waited for is six-step board bench 7';
    expect(result).toEqual({
      outcome: 'given up',
      words: `six-step board bench 7: it did not answer within 3 s; ${heard}`,
    });
    expect(waiting.said).toEqual([heard]); // once, not each round
    expect(waiting.pauses).toEqual([250, 500, 1000, 1250]); // to the end and no further
    expect(other.closed).toBe(5);
  });

  it.each(['board', 'uid'] as const)('does not take a board of which only %s differs', async (key) => {
    const other = new Board('port 1', { [key]: 'another' });
    const result = await rejoin(HELLO_SAMPLE, async () => [other.opener()], new Waiting().options({ within_s: 1 }));
    expect(result.outcome).toBe('given up');
  });

  it('finds it beside another board, which is let go', async () => {
    const waiting = new Waiting();
    const other = new Board('port 1', { uid: 'bench 8' });
    const board = new Board('port 2');
    const result = await rejoin(HELLO_SAMPLE, async () => [other.opener(), board.opener()], waiting.options());
    expect(joinedLink(result)).toBe(board);
    expect(other.closed).toBe(1);
    expect(waiting.said).toHaveLength(1);
  });

  it('asks the person when two say they are it, and keeps neither', async () => {
    const twins = [new Board('port 1'), new Board('port 2')];
    const result = await rejoin(HELLO_SAMPLE, async () => twins.map((each) => each.opener()), new Waiting().options());
    expect(result).toEqual({
      outcome: 'ask the person',
      names: ['port 1', 'port 2'],
      words: 'port 1 and port 2 both say that they are six-step board bench 7: choose the one to go on with',
    });
    expect(twins.map((each) => each.closed)).toEqual([1, 1]);
  });

  it('says so when the firmware has changed', async () => {
    const board = new Board('port 1', { firmware: 'd4e5f6' });
    const result = await rejoin(HELLO_SAMPLE, async () => [board.opener()], new Waiting().options());
    expect(result).toMatchObject({
      outcome: 'firmware changed',
      link: board,
      words: 'port 1: six-step board bench 7 is back with other firmware: d4e5f6, before a1b2c3',
    });
    expect(board.closed).toBe(0);
  });

  it('passes on the words about a board of another version, and about what no link throws', async () => {
    const waiting = new Waiting();
    const loss = { cause: 'wrong version', message: 'port 1: the board speaks version 9, this is 3' } as const;
    const places = async (): Promise<Opener<Board>[]> => [
      { name: 'port 1', open: () => Promise.reject(new LinkLostError(loss)) },
      { name: 'port 2', open: () => Promise.reject(new TypeError('no such thing')) },
      {
        name: 'port 3',
        open: () => Promise.reject(new LinkLostError({ cause: 'no hello', message: 'port 3: no Hello within 5 s' })),
      },
    ];
    await rejoin(HELLO_SAMPLE, places, waiting.options({ within_s: 1 }));
    expect(waiting.said).toEqual([loss.message, 'port 2: no such thing']);
  });

  it('looks again at once when something was plugged in', async () => {
    const board = new Board('port 1');
    let hint = (): void => undefined;
    let subscribed = 0;
    const begun = performance.now();
    let rounds = 0;
    const places = async (): Promise<Opener<Board>[]> => {
      if (++rounds < 4) setTimeout(() => hint(), 5);
      return rounds < 5 ? [] : [board.opener()];
    };
    const onHint = (hear: () => void) => {
      subscribed++;
      hint = hear;
      return () => {
        subscribed--;
      };
    };
    const result = await rejoin(HELLO_SAMPLE, places, { onHint }); // with the timer of the system
    expect(result).toMatchObject({ outcome: 'joined', rounds: 5 });
    expect(subscribed).toBe(0);
    // Without hints the first three pauses alone are 1.75 s, the fourth 2 s.
    expect(performance.now() - begun).toBeLessThan(3000);
  });

  it('can be called off, also while it waits, and leaves no timer', async () => {
    const off = new AbortController();
    setTimeout(() => off.abort(), 20);
    const begun = performance.now();
    const result = await rejoin<Board>(HELLO_SAMPLE, async () => [], { signal: off.signal, within_s: 3600 });
    expect(result).toEqual({ outcome: 'given up', words: 'six-step board bench 7: it was called off' });
    expect(performance.now() - begun).toBeLessThan(1000);
    expect(process.getActiveResourcesInfo().filter((each) => each === 'Timeout').length).toBeLessThanOrEqual(1);
  });

  it('lets go of a board that answers when it was called off meanwhile', async () => {
    const off = new AbortController();
    const board = new Board('port 1');
    const opener = {
      name: 'port 1',
      open: async () => {
        off.abort();
        return board;
      },
    };
    const result = await rejoin(HELLO_SAMPLE, async () => [opener], new Waiting().options({ signal: off.signal }));
    expect(result.outcome).toBe('given up');
    expect(board.closed).toBe(1);
  });

  it('goes on when the list of places cannot be had', async () => {
    const waiting = new Waiting();
    const board = new Board('port 1');
    let rounds = 0;
    const places = async (): Promise<Opener<Board>[]> => {
      if (++rounds === 1) throw new Error('not now');
      return [board.opener()];
    };
    expect(await rejoin(HELLO_SAMPLE, places, waiting.options())).toMatchObject({ outcome: 'joined', rounds: 2 });
  });
});
