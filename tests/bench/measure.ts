/** Times a piece of work in batches: warmed up first, put back to the same start before every batch. */
import { performance } from 'node:perf_hooks';

export interface Timing {
  /** Shortest, mean and standard deviation over the batches [ns per step]. */
  readonly min_ns: number;
  readonly mean_ns: number;
  readonly deviation_ns: number;
}

export interface Work {
  /** Puts everything back to the start of a batch. */ begin(): void;
  /** Does one batch. */ run(): void;
  /** Steps in a batch. */ readonly steps: number;
}

/** Runs `warmUp` batches untimed and `batches` timed ones. */
export function measure(work: Work, warmUp: number, batches: number): Timing {
  const each_ns: number[] = [];
  for (let k = 0; k < warmUp + batches; k++) {
    work.begin();
    const begin_ms = performance.now();
    work.run();
    const took_ms = performance.now() - begin_ms;
    if (k >= warmUp) each_ns.push((took_ms * 1e6) / work.steps);
  }
  return timingOf(each_ns);
}

/** Shortest, mean and deviation of single results. */
export function timingOf(each_ns: readonly number[]): Timing {
  const mean_ns = each_ns.reduce((sum, ns) => sum + ns, 0) / each_ns.length;
  const square = each_ns.reduce((sum, ns) => sum + (ns - mean_ns) ** 2, 0) / Math.max(1, each_ns.length - 1);
  return { min_ns: Math.min(...each_ns), mean_ns, deviation_ns: Math.sqrt(square) };
}
