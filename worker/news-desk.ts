/** Gathers what the page says about the controller: rates over about a second, counts, watch values, notes, the loss. */
import type { Plant } from '../src/plant/plant.ts';
import { cellLeft } from '../src/plant/supply.ts';
import { DROP_TEXT, type DropCause } from '../src/protocol/packet.ts';
import type { LinkNews, PastNews } from './api.ts';
import type { ExchangeFigures } from './held-link.ts';
import type { MadeBench } from './make-bench.ts';

/** Span over which rates are taken [ms]. */
const SPAN_MS = 1000;
/** Notes that go to the page, the newest ones. */
const NOTES_SHOWN = 30;

const NO_COUNTS = { answered: 0, lost: 0, late: 0, repeated: 0, wrongTick: 0, restarts: 0, beatsMissed: 0 };

export class NewsDesk {
  private since_ms = performance.now();
  private figures: Readonly<ExchangeFigures> = { count: 0, trip_s: 0, tripMost_s: 0, busy_s: 0, busyMost_s: 0 };
  private perSecond = 0;
  private lostAt_s = 0;
  private wasLost = false;

  /** Another controller: its rates begin anew. */
  clear(): void {
    this.since_ms = performance.now();
    this.figures = { count: 0, trip_s: 0, tripMost_s: 0, busy_s: 0, busyMost_s: 0 };
    this.perSecond = 0;
    this.wasLost = false;
  }

  collect(made: MadeBench, armed: boolean, waitsFor: string, past: PastNews): LinkNews {
    const { bench, held } = made;
    const link = 'exchange' in held ? held : undefined;
    if (link) this.measure(link.take.bind(link));
    if (bench.controllerLost !== '' && !this.wasLost) {
      this.wasLost = true;
      this.lostAt_s = bench.plant.time_s;
    }
    const { count, trip_s, tripMost_s, busy_s, busyMost_s } = this.figures;
    const tick_s = bench.plant.period_s;
    return {
      coupling: made.coupling,
      ...NO_COUNTS,
      ...(link ? counts(link.counters) : {}),
      perSecond: this.perSecond,
      trip_s: count === 0 ? 0 : trip_s / count,
      tripMost_s,
      busy: count === 0 ? 0 : busy_s / count / tick_s,
      busyMost: busyMost_s / tick_s,
      waited_s: link?.waited_s ?? 0,
      late: bench.counters.late + (link?.counters.late ?? 0),
      dutyClamped: bench.counters.dutyClamped,
      drops: link ? worded(link.counters.drops) : {},
      watch: [...bench.drive.watch],
      notes: link?.notes.slice(-NOTES_SHOWN) ?? [],
      loss: bench.controllerLost,
      lostAt_s: this.lostAt_s,
      armed,
      waitsFor,
      cells: cellsOf(bench.plant),
      past,
      ...made.faults.news(),
    };
  }

  private measure(take: () => Readonly<ExchangeFigures>): void {
    const now_ms = performance.now();
    const span_ms = now_ms - this.since_ms;
    if (span_ms < SPAN_MS) return;
    this.figures = take();
    this.perSecond = (this.figures.count / span_ms) * 1000;
    this.since_ms = now_ms;
  }
}

function cellsOf({ state, params }: Plant): [number, number][] {
  return Array.from({ length: params.pack.series }, (_, k) => cellLeft(state, k));
}

function counts({ answered, lost, repeated, wrongTick, restarts, beatsMissed }: typeof NO_COUNTS) {
  return { answered, lost, repeated, wrongTick, restarts, beatsMissed };
}

function worded(drops: Readonly<Record<DropCause, number>>): Record<string, number> {
  const happened = (Object.entries(drops) as [DropCause, number][]).filter(([, count]) => count > 0);
  return Object.fromEntries(happened.map(([cause, count]) => [DROP_TEXT[cause], count]));
}
