/** The bench with a controller in the same process: built in, or firmware as WebAssembly. Faster than life. */
import type { Controller } from '../protocol/controller.ts';
import { BenchCore, type BenchOptions } from './core.ts';
import type { Coupled } from './coupled.ts';

export class Bench extends BenchCore implements Coupled {
  readonly coupling = 'in-process';
  private readonly controller: Controller;
  private due_ticks = 0;

  /** Throws RangeError when an option is out of range. */
  constructor(options: BenchOptions & { readonly controller: Controller }) {
    super(options, options.controller.hello);
    this.controller = options.controller;
  }

  /** Runs one PWM period and fills `sample`. Never throws: a controller that does is lost. */
  tickOnce(): void {
    this.run();
  }

  /** The same, told step by step of the plant: `sample` as it stands after each of them. */
  tickInSteps(onStep: () => void): void {
    this.run(onStep);
  }

  private run(onStep?: () => void): void {
    let asked = this.open();
    while (asked) {
      try {
        if (!this.repeats) this.controller.tick(this.heard, this.reply);
      } catch (error) {
        this.loseController(`controller failed in tick ${this.sense.tick}: ${String(error)}`);
      }
      asked = this.again();
    }
    this.close(onStep);
  }

  /**
   * Runs the whole periods that fit into the time given so far; the rest waits for the next call, so that any
   * slicing runs the same ticks.
   *
   * @param span_s virtual time, 0 or more
   */
  advance(span_s: number, onTick?: (sample: Float64Array) => void): void {
    this.due_ticks += span_s / this.plant.period_s;
    // A millionth of a tick is rounding of the sum, not time that is missing.
    while (this.due_ticks >= 1 - 1e-6 && this.plant.fault === '') {
      this.tickOnce();
      onTick?.(this.sample);
      this.due_ticks -= 1;
    }
  }
}
