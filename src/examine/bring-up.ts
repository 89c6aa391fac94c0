/** Bring-up: quiet pins, then one thing on one of them, and what the board makes of it. */
import type { Wire } from '../links/wire.ts';
import type { Drive, Sense } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import type { Injection } from './injections.ts';
import { Probe } from './probe.ts';
import { greet, Subject, TERMS, type Terms } from './subject.ts';
import { type WatchRow, watchRows } from './watch-rows.ts';
import { legsText, statusName } from './words.ts';

/** Ticks that a step takes at least, however slow the board is. */
const TICKS_LEAST = 50;
/** A value that has moved since this share of the step is still on its way. */
const MIDWAY = 2 / 3;
/** Changes that are kept. */
const CHANGES_MOST = 8;

export interface Change {
  /** Ticks since the injection began. */ readonly tick: number;
  readonly text: string;
}

export interface BringUpStep {
  readonly hello: Hello;
  readonly quiet: Sense;
  readonly sent: Sense;
  /** The answer to the last quiet frame. */ readonly before: Drive;
  /** And to the last one with the injection. */ readonly after: Drive;
  readonly ticks: number;
  readonly tick_s: number;
  /** Legs and state whenever they changed, the first few. */ readonly changes: readonly Change[];
  readonly rows: readonly WatchRow[];
}

export class BringUp {
  readonly hello: Hello;
  readonly probe: Probe;
  private readonly subject: Subject;

  private constructor(probe: Probe, hello: Hello, terms: Terms) {
    this.probe = probe;
    this.hello = hello;
    this.subject = new Subject(probe, hello, terms);
    this.subject.welcome();
  }

  /** Greets the board. Rejects with Broken when it does not introduce itself as the protocol says. */
  static async open(wire: Wire, terms: Partial<Terms> = {}): Promise<BringUp> {
    const probe = new Probe(wire);
    const all = { ...TERMS, ...terms };
    const { hello } = await greet(probe, all);
    return new BringUp(probe, hello, all);
  }

  /** Pins of a quiet frame. */
  get quiet(): Sense {
    return this.subject.quiet;
  }

  /**
   * Boots with quiet pins, then holds the injections for some wall time, and for so many ticks at least. Rejects with Broken
   * when an answer stays away.
   */
  async step(injections: readonly Injection[], for_s: number): Promise<BringUpStep> {
    const { subject, hello } = this;
    await subject.boot();
    const before = await subject.step();
    const quiet = this.quiet;
    let sent = quiet;
    for (const injection of injections) sent = { ...sent, ...injection.apply(hello, sent) };
    const { tick: _tick, ...change } = sent;

    const changes: Change[] = [];
    let last = lookOf(before);
    let after = before;
    let ticks = 0;
    // Answers at ticks 1, 2, 4, 8 ...: one of them lies between a third and two thirds of the step.
    const earlier: { tick: number; drive: Drive }[] = [];
    const end_ms = performance.now() + for_s * 1000;
    while (ticks < TICKS_LEAST || performance.now() < end_ms) {
      after = await subject.step(change);
      ticks++;
      if (Number.isInteger(Math.log2(ticks))) earlier.push({ tick: ticks, drive: after });
      const look = lookOf(after);
      if (look !== last && changes.length < CHANGES_MOST) changes.push({ tick: ticks, text: look });
      last = look;
      this.probe.forget();
    }
    const angle = injections.find(({ name }) => name === 'angle');
    const midway = earlier.findLast(({ tick }) => tick <= MIDWAY * ticks)?.drive ?? before;
    const rows = watchRows(hello, sent, { before, midway, after }, angle?.si);
    return { hello, quiet, sent, before, after, ticks, tick_s: subject.tick_s, changes, rows };
  }
}

/** What one would see of a board that changes its mind: which legs are driven, and its state. */
function lookOf(drive: Drive): string {
  const legs = legsText(drive).replace(/\d+\.\d %/g, 'PWM');
  return `${statusName(drive)}; ${legs}`;
}
