/** How a controller is tied to the plant; report, page and recording always say which. */
import type { BenchCore } from './core.ts';

export type Coupling = 'in-process' | 'lock-step';

/** A bench that can be played, whatever the coupling. */
export interface Coupled extends BenchCore {
  readonly coupling: Coupling;
  /** Runs one PWM period; a promise only where an answer must be waited for. */
  tickOnce(): void | Promise<void>;
}
