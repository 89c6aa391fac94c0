/** How far a campaign is and how long it will take: a bar on a terminal, plain lines elsewhere. */
import { performance } from 'node:perf_hooks';
import { SingleBar } from 'cli-progress';

export interface CampaignProgress {
  /** One more run has ended; `points` of all points are done. */ done(points: number, failed: number): void;
  end(): void;
}

/** Plain lines come no more often than this, and at every tenth. */
const PLAIN_MS = 10_000;

/** @param total points of this part  @param before points that were on file  @param estimate false where runs are not known beforehand */
export function campaignProgress(total: number, before: number, out: NodeJS.WriteStream): CampaignProgress {
  const began_ms = performance.now();
  const left = (points: number): string => {
    const own = points - before;
    if (own <= 0) return 'time left unknown';
    return `${timeText((((performance.now() - began_ms) / own) * (total - points)) / 1000)} left`;
  };
  return !out.isTTY || process.env.CI !== undefined ? plain(total, left, out) : bar(total, before, left, out);
}

function bar(
  total: number,
  before: number,
  left: (points: number) => string,
  out: NodeJS.WriteStream,
): CampaignProgress {
  const single = new SingleBar({
    format: '  {bar} {value} of {total}, {bad} not passed, {runs} runs, {left}',
    stream: out,
    hideCursor: true,
    clearOnComplete: true,
    barCompleteChar: '#',
    barIncompleteChar: '.',
  });
  let runs = 0;
  single.start(total, before, { bad: 0, runs, left: left(before) });
  return {
    done: (points, bad) => single.update(points, { bad, runs: ++runs, left: left(points) }),
    end: () => single.stop(),
  };
}

function plain(total: number, left: (points: number) => string, out: NodeJS.WriteStream): CampaignProgress {
  let told_ms = performance.now();
  let tenth = 0;
  let runs = 0;
  return {
    done(points, bad) {
      runs++;
      const now_ms = performance.now();
      const reached = Math.floor((10 * points) / total);
      if (reached <= tenth && now_ms - told_ms < PLAIN_MS) return;
      tenth = Math.max(tenth, reached);
      told_ms = now_ms;
      out.write(`${points} of ${total}, ${bad} not passed, ${runs} runs, ${left(points)}\n`);
    },
    end() {},
  };
}

/** A span as people say it: '1 h 20 min', '3 min 5 s', '12 s'. */
export function timeText(span_s: number): string {
  const whole = Math.round(span_s);
  const [h, min, s] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  if (h > 0) return `${h} h ${min} min`;
  return min > 0 ? `${min} min ${s} s` : `${s} s`;
}
