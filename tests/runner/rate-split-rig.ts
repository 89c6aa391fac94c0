/** A rate-split bench in virtual time: a clock that jumps, and a wire on which a Report can be held, dropped or sent twice. */

import { openRateSplit, type RateSplitLink } from '../../src/links/rate-split.ts';
import { type PacedMotor, ServedPaced } from '../../src/links/served-paced.ts';
import type { Ear, Wire } from '../../src/links/wire.ts';
import { REPORT } from '../../src/protocol/frames.ts';
import { RateSplitBench, type RateSplitOptions } from '../../src/runner/rate-split.ts';
import type { WallClock } from '../../src/runner/rate-split-pace.ts';
import { AveragedMotor } from '../support/paced-motor.ts';
import { OPTIONS } from './rig.ts';

/** Time that a look around takes. */
const TURN_S = 1e-5;

/** Time stands still until somebody waits; what was put down for a moment happens on the way there. */
export class JumpingClock implements WallClock {
  private now = 100;
  private due: { readonly at_s: number; readonly act: () => void }[] = [];
  /** Oversleeps: added to the end of each wait that passes the moment, once. */
  private holdUps: { readonly at_s: number; readonly for_s: number }[] = [];

  now_s(): number {
    return this.now;
  }

  after(span_s: number, act: () => void): void {
    this.due.push({ at_s: this.now + span_s, act });
  }

  /** The machine does something else for a while, `in_s` from now. */
  holdUp(in_s: number, for_s: number): void {
    this.holdUps.push({ at_s: this.now + in_s, for_s });
  }

  turn(): Promise<void> {
    return this.waitUntil(this.now + TURN_S);
  }

  async waitUntil(at_s: number): Promise<void> {
    let until_s = Math.max(this.now, at_s);
    for (const hold of this.holdUps) if (hold.at_s <= until_s) until_s = Math.max(until_s, hold.at_s + hold.for_s);
    this.holdUps = this.holdUps.filter(({ at_s: from }) => from > until_s);
    const now = this.due.filter((each) => each.at_s <= until_s).sort((a, b) => a.at_s - b.at_s);
    this.due = this.due.filter((each) => each.at_s > until_s);
    for (const each of now) {
      this.now = Math.max(this.now, each.at_s);
      each.act();
    }
    this.now = until_s;
  }
}

/**
 * What becomes of the Report with this place in the run, counted from 0: copies after these times; 0 is at once. As on every
 * link none overtakes another: what comes after a slow one waits for it.
 */
export type Fate = (place: number) => readonly number[];

export const PROMPT: Fate = () => [0];

export interface Tied {
  readonly bench: RateSplitBench;
  readonly link: RateSplitLink;
  readonly clock: JumpingClock;
  readonly board: ServedPaced;
}

const ID_AT = 2;

/** A wire with a paced board at its other end. */
export function pacedWire(motor: PacedMotor, clock: JumpingClock, fate: Fate): { wire: Wire; board: ServedPaced } {
  let ear: Ear;
  let reports = 0;
  let clear_s = 0;
  const board = new ServedPaced(motor, (bytes) => {
    const copy = bytes.slice();
    if (copy[ID_AT] !== REPORT.id) return ear.take(copy);
    for (const span_s of fate(reports++)) {
      clear_s = Math.max(clear_s, clock.now_s() + span_s);
      const wait_s = clear_s - clock.now_s();
      if (wait_s === 0) ear.take(copy);
      else clock.after(wait_s, () => ear.take(copy));
    }
  });
  const wire: Wire = {
    name: 'paced',
    attach(to) {
      ear = to;
    },
    send: (bytes) => board.receiver.push(bytes.slice()),
    async close() {},
  };
  return { wire, board };
}

/** Ties a motor in virtual time. Signs of life run in wall time and are left out. */
export async function tie(
  rate_Hz: number,
  fate: Fate = PROMPT,
  motor: PacedMotor = new AveragedMotor(),
  options: Partial<RateSplitOptions> = {},
): Promise<Tied> {
  const clock = new JumpingClock();
  const { wire, board } = pacedWire(motor, clock, fate);
  const link = await openRateSplit(wire, { beat_s: 0 });
  const { drill, seed } = OPTIONS;
  const bench = new RateSplitBench({ drill, seed, rate_Hz, link, clock, ...options });
  return { bench, link, clock, board };
}

/** Runs so many beats with the trigger fully pulled. */
export async function run({ bench }: Tied, beats: number, trigger = 1): Promise<void> {
  bench.plant.hands.set('trigger', trigger);
  for (let k = 0; k < beats; k++) await bench.tickOnce();
}
