/** A bench whose controller writes down what it hears and says which tick its command is for. */
import { blankSense } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { DUTY_FULL, GATE_ALL, type Sense } from '../../src/protocol/frames.ts';
import type { Bench } from '../../src/runner/bench.ts';
import type { BenchOptions } from '../../src/runner/core.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { acting, benchWith } from '../runner/rig.ts';

/** Duties count ticks up to here, then begin anew: small enough to keep all legs nearly low. */
export const MARKS = 8192;

/** All legs at one duty, which is the tick of the Sense that is answered: no torque, but every command has a name. */
export function marking(heard: Sense[] = []): Controller {
  return acting((sense, drive) => {
    heard.push({ ...sense });
    const mark = sense.tick % MARKS;
    Object.assign(drive, {
      tick: sense.tick,
      gates: GATE_ALL,
      dutyA: mark,
      dutyB: mark,
      dutyC: mark,
      state: 2,
      trip: 0,
    });
  });
}

/** A bench that is powered and has run for 10 ms. */
export function marked(options: Partial<BenchOptions> = {}): { bench: Bench; heard: Sense[] } {
  const heard: Sense[] = [];
  const bench = benchWith(marking(heard), 0.5, options);
  bench.advance(0.01);
  heard.length = 0;
  return { bench, heard };
}

export interface Row {
  /** Tick of the plant that ran. */ readonly tick: number;
  /** Tick whose command was in force in it. */ readonly mark: number;
  /** What the pins read before it. */ readonly pins: Sense;
}

/** Runs `ticks` and notes each. */
export function run(bench: Bench, ticks: number): Row[] {
  return Array.from({ length: ticks }, () => {
    const { tick } = bench.plant;
    bench.tickOnce();
    const mark = Math.round(seen(bench, 'dutyA') * DUTY_FULL);
    return { tick, mark, pins: Object.assign(blankSense(), bench.sense) };
  });
}

export const seen = (bench: Bench, id: SignalId): number => bench.sample[SIGNAL_INDEX[id]];
