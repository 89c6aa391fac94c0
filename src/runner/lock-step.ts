/**
 * The bench with a controller behind a link: the plant waits for every answer, so the physics are exact and the pace is
 * that of the link. Losing the link opens all legs; the run then ends as an outcome of its own.
 */
import type { LinkLoss, LockStepLink } from '../links/link.ts';
import { BenchCore, type BenchOptions } from './core.ts';
import type { Coupled } from './coupled.ts';

export class LockStepBench extends BenchCore implements Coupled {
  readonly coupling = 'lock-step';
  readonly link: LockStepLink;

  /** @param options link: open, its Hello found to fit the board. Throws RangeError when an option is out of range. */
  constructor(options: BenchOptions & { readonly link: LockStepLink }) {
    super(options, options.link.hello);
    this.link = options.link;
  }

  private told = false;

  /** Runs one PWM period and fills `sample`; resolves when the answer is in, or is given up. Never rejects. */
  tickOnce(): void | Promise<void> {
    const asked = this.open();
    if (this.plant.powered !== this.told) {
      this.told = this.plant.powered;
      this.link.power(this.told, this.plant.tick >>> 0);
    }
    if (asked) return this.link.exchange(this.heard, this.reply).then(this.settle);
    this.close();
  }

  private readonly settle = (result: 'ok' | LinkLoss): void | Promise<void> => {
    if (result !== 'ok') this.loseController(result.message);
    else if (this.again()) return this.link.exchange(this.heard, this.reply).then(this.settle);
    this.close();
  };
}
