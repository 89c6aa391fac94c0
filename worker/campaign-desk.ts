/** A campaign in the page: hands its runs to the lanes there are, keeps what they bring, can be stopped and gone on with. */

import type { PlayedIn } from '../src/campaign/conduct.ts';
import { conduct, replay } from '../src/campaign/conduct.ts';
import { identityOf, resultHead } from '../src/campaign/head.ts';
import { jobsOf } from '../src/campaign/jobs.ts';
import { seal } from '../src/campaign/lines.ts';
import type { Plan } from '../src/campaign/load.ts';
import { type CaseOutcome, type PointResult, runName, type Values } from '../src/campaign/results.ts';
import { pointsOfShard, type Shard } from '../src/campaign/shard.ts';
import { pointText } from '../src/campaign/trial.ts';
import type { CampaignStands } from './runs-api.ts';
import { sha256 } from './sha256.ts';

/** What plays runs: as many at a time as there are lanes. */
export interface Lanes {
  readonly count: number;
  /** Rejects when the run is dropped, or on a defect. */ play(text: string, file: string): Promise<PlayedIn>;
}

export class CampaignDesk {
  readonly plan: Plan;
  /** The part of the campaign that runs here, undefined for the whole. */ readonly shard: Shard | undefined;
  private readonly jobs;
  private readonly points: readonly number[];
  private readonly results = new Map<string, PointResult>();
  private readonly ended = new Set<number>();
  private stopped = false;
  private wall_s = 0;
  private lanes = 1;

  constructor(plan: Plan, shard?: Shard) {
    this.plan = plan;
    this.shard = shard;
    this.jobs = jobsOf(plan);
    this.points = pointsOfShard(this.jobs.count, shard ?? { index: 1, count: 1 });
  }

  get stands(): CampaignStands {
    const { jobs, points, results, ended } = this;
    const done = jobs.single ? results.size : ended.size;
    // A search needs as many runs for the cases that are left as it took for those that have ended.
    const each_s = done > 0 ? this.wall_s / done : Number.NaN;
    const left_s = ((points.length - done) * each_s) / this.lanes;
    return { points: points.length, done, runs: results.size, left_s, workers: this.lanes };
  }

  /** Results so far, in the order of the points. */
  get ordered(): PointResult[] {
    return [...this.results.values()].sort((a, b) => a.point - b.point || a.run - b.run);
  }

  /** What the cases of a search that have ended have found. */
  get cases(): CaseOutcome[] {
    const { jobs, ordered } = this;
    if (jobs.single) return [];
    const points = [...new Set(ordered.map(({ point }) => point))];
    return points.flatMap((point) => {
      const own = ordered.filter((each) => each.point === point);
      return replay(jobs.start(point), own) ?? [];
    });
  }

  /**
   * The result file, to the bytes that the command line leaves: what is finished can be merged, and the command line goes on with
   * what is not. Throws Error where the page has no SHA-256.
   *
   * @param build hash of the program
   */
  async file(build: string): Promise<string> {
    const { plan, jobs, shard, ordered, stands } = this;
    const campaign = await sha256(identityOf(plan));
    if (campaign === undefined) throw new Error('Result lines need a page from https or from this machine.');
    const head = resultHead({ plan, jobs, campaign, build, shard });
    const lines = [head, ...ordered].map(seal);
    if (stands.done >= stands.points) lines.push(seal({ end: true, runs: ordered.length }));
    return lines.map((line) => `${line}\n`).join('');
  }

  /** Values of a run by its name. Throws RangeError when it was not run. */
  valuesOf(run: string): Values {
    const found = this.results.get(run);
    if (!found) throw new RangeError(`the campaign has no run '${run}' yet`);
    return found.values;
  }

  /** Runs what has not been run yet. Resolves with true when all of it was, with false when it was stopped. Rejects on a defect. */
  async run(lanes: Lanes, each: () => void): Promise<boolean> {
    this.stopped = false;
    this.ended.clear();
    this.lanes = lanes.count;
    const { jobs, points, plan, results, ended } = this;
    return conduct({
      jobs,
      points,
      lanes: lanes.count,
      play: (values) => lanes.play(pointText(plan.content, values), plan.scenarioFile),
      known: (point, run) => results.get(runName({ point, run })),
      keep: (result, wall_s) => {
        results.set(runName(result), result);
        this.wall_s += wall_s;
        each();
      },
      ended: (point) => {
        ended.add(point);
        each();
      },
      stopped: () => this.stopped,
    });
  }

  /** No further run begins; whoever holds the lanes drops those that are out. */
  stop(): void {
    this.stopped = true;
  }
}
