/** How coarse the clock is that times on this page are measured with: browsers round it, more so where a page is not isolated. */

/** Steps of the clock that are looked at. */
const STEPS = 8;
/** Looks before it is given up: a fraction of a second. */
const LOOKS = 2_000_000;

let known_s: number | undefined;

/** The least step of the clock [s]; measured once. */
export function clockGrain_s(): number {
  known_s ??= leastStep_ms(() => performance.now()) / 1000;
  return known_s;
}

/** The least of some steps of a clock [ms], NaN when it does not move. */
export function leastStep_ms(now_ms: () => number): number {
  let least = Number.NaN;
  let before = now_ms();
  let steps = 0;
  for (let k = 0; k < LOOKS && steps < STEPS; k++) {
    const now = now_ms();
    if (now <= before) continue;
    if (!(now - before >= least)) least = now - before;
    before = now;
    steps++;
  }
  return least;
}
