/** Runs a campaign: hands out runs to as many lanes as there are workers, and what they bring to whoever keeps it. */
import type { Jobs } from './jobs.ts';
import type { CaseOutcome, PointResult, Values } from './results.ts';
import type { Search } from './search.ts';

/** Result of a run, before it is known which point it was. */
export type Played = Omit<PointResult, 'point' | 'run' | 'values'>;

export interface PlayedIn {
  readonly played: Played;
  /** Wall time of the run alone [s]. */ readonly wall_s: number;
}

export interface Orders {
  readonly jobs: Jobs;
  /** Points that are run here, in order. */ readonly points: readonly number[];
  readonly lanes: number;
  /** Plays one run. A rejection ends the campaign. */ play(values: Values): Promise<PlayedIn>;
  /** A result that is on file; of a point that is one run it is enough to know that it is there. */
  known(point: number, run: number): PointResult | true | undefined;
  keep(result: PointResult, wall_s: number): void;
  /** A search has ended. */ ended?(point: number): void;
  /** True as soon as no further run shall begin. */ stopped(): boolean;
}

interface Open {
  readonly point: number;
  readonly search: Search;
  /** Runs that the search has asked for so far. */ asked: number;
  batch: readonly Values[];
  results: (PointResult | undefined)[];
  missing: number;
}

interface Run {
  readonly open: Open;
  readonly place: number;
  readonly point: number;
  readonly run: number;
  readonly values: Values;
}

/** Resolves with true when every point was run, with false when it was stopped before. */
export async function conduct(orders: Orders): Promise<boolean> {
  const desk = new Desk(orders);
  await Promise.all(Array.from({ length: orders.lanes }, () => lane(orders, desk)));
  return desk.finished;
}

async function lane(orders: Orders, desk: Desk): Promise<void> {
  while (!orders.stopped()) {
    const run = desk.next();
    if (run === undefined) {
      if (desk.idle) return;
      await desk.news();
      continue;
    }
    const { point, run: number, values } = run;
    try {
      const { played, wall_s } = await orders.play(values);
      const result = { point, run: number, values, ...played };
      orders.keep(result, wall_s);
      desk.tell(run, result);
    } catch (error) {
      if (!orders.stopped()) throw error;
    } finally {
      desk.back();
    }
  }
  desk.back();
}

/** Which runs are ready, which are out. */
class Desk {
  private readonly orders: Orders;
  private readonly ready: Run[] = [];
  private readonly waiting: (() => void)[] = [];
  private nextPoint = 0;
  /** Searches that have not ended. */ private openCount = 0;

  constructor(orders: Orders) {
    this.orders = orders;
  }

  get finished(): boolean {
    return this.openCount === 0 && this.nextPoint >= this.orders.points.length;
  }

  /** True when nothing is left to hand out and nothing can come any more. */
  get idle(): boolean {
    return this.finished;
  }

  /** The next run; points are begun only when all runs of those before are out, so that few are open. */
  next(): Run | undefined {
    while (this.ready.length === 0 && this.nextPoint < this.orders.points.length) {
      this.begin(this.orders.points[this.nextPoint++]);
    }
    return this.ready.shift();
  }

  tell({ open, place }: Run, result: PointResult): void {
    open.results[place] = result;
    if (--open.missing === 0) this.advance(open);
  }

  /** Resolves when a run has come back. */
  news(): Promise<void> {
    return new Promise((woken) => this.waiting.push(woken));
  }

  back(): void {
    for (const woken of this.waiting.splice(0)) woken();
  }

  private begin(point: number): void {
    const { jobs, known } = this.orders;
    if (jobs.single && known(point, 0)) return;
    const open: Open = { point, search: jobs.start(point), asked: 0, batch: [], results: [], missing: 0 };
    this.openCount++;
    this.advance(open);
  }

  /** Tells the search the results it waits for, until it wants a run that is not on file. */
  private advance(open: Open): void {
    const { jobs, known } = this.orders;
    while (open.missing === 0) {
      const step = open.search.next(open.results as PointResult[]);
      if (step.done) {
        this.openCount--;
        this.orders.ended?.(open.point);
        return;
      }
      open.batch = step.value;
      open.results = open.batch.map((_, place) => {
        const on = known(open.point, this.numberOf(open, place, jobs.single));
        return on === true ? undefined : on;
      });
      open.batch.forEach((values, place) => {
        if (open.results[place] !== undefined) return;
        open.missing++;
        this.ready.push({ open, place, point: open.point, run: this.numberOf(open, place, jobs.single), values });
      });
      open.asked += open.batch.length;
    }
  }

  private numberOf(open: Open, place: number, single: boolean): number {
    return single ? 0 : open.asked + place + 1;
  }
}

/** What a search found, from results that are on file; undefined while some are missing. */
export function replay(search: Search, results: readonly PointResult[]): CaseOutcome | undefined {
  let at = 0;
  let step = search.next([]);
  while (!step.done) {
    const told = results.slice(at, at + step.value.length);
    if (told.length < step.value.length) return undefined;
    at += step.value.length;
    step = search.next(told);
  }
  return step.value;
}
