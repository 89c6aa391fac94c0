/** What is known about a run beside its outcome: where it came from and who drove it. */
import type { LineFigures } from '../links/line-figures.ts';
import type { LinkCounters } from '../links/link.ts';
import type { RateSplitCounters } from '../links/rate-split.ts';
import type { Hello } from '../protocol/hello.ts';
import type { Outcome } from '../runner/play.ts';
import type { Scenario } from '../scenario/scenario.ts';
import type { BoardParams } from '../sensing/board.ts';

/** What every link counts, and what rate-split counts beside it. */
export type LinkTally = LinkCounters & Partial<RateSplitCounters>;

export interface RunFacts {
  /** Scenario file as the user named it. */ readonly file: string;
  readonly scenario: Scenario;
  /** builtin:NAME, exec:CMD or tcp:HOST:PORT. */ readonly controller: string;
  readonly hello: Hello;
  readonly board: BoardParams;
  /** Wall time of the run [s]. */ readonly wall_s: number;
  /** Counts of the link, undefined in process. */ readonly link: Readonly<LinkTally> | undefined;
  /** Rate, round trip and clock of a link, as far as known. */ readonly line?: LineFigures | undefined;
}

/** What a reader of the result has to know, one sentence each. */
export function cautionsOf({ hello, link }: RunFacts, { coupling, counters }: Outcome): string[] {
  const found: string[] = [];
  if (counters.dutyClamped > 0) found.push(`${counters.dutyClamped} duties were above full scale and were clamped`);
  if (coupling === 'lock-step' && !hello.virtualTick) {
    found.push('the board does not take its time from the tick: its timers run in wall time and may act too early');
  }
  if (coupling === 'rate-split') {
    found.push(
      'the motor is that of the board: bridge, winding, link and play of the gear are not in it, and the tool stands as in a vice',
    );
  }
  if (counters.asked === 0) found.push('the controller was never asked: no trigger switched the supply on');
  if (link === undefined) return found;
  const dropped = Object.values(link.drops).reduce((sum, count) => sum + count, 0);
  if (dropped > 0) found.push(`${dropped} frames from the controller were dropped as damaged or unknown`);
  if (link.repeated > 0) found.push(`${link.repeated} answers came more than once`);
  return found;
}
