/** What a page may call to have the run on the bench recorded, and the hook that sees every period. */
import { columnsOf } from '../src/recorder/header.ts';
import { SIGNAL_INDEX, type SignalId } from '../src/signals.ts';
import { requireRange } from '../src/units/checks.ts';
import type { Past } from './past.ts';
import type { RecordAsk, RecordingApi } from './recording-api.ts';
import { endOf, headerOf } from './recording-facts.ts';
import { RecordingTap } from './recording-tap.ts';
import { ROWS_TOGETHER, type ToRecorder } from './recording-wire.ts';
import { RECORDING_WORDS as WORDS } from './recording-words.ts';

/** Longest that is taken from the past [s]: what the bench keeps at every tick. */
const PAST_MOST_S = 10;
/** Left out at the early end, which the run overwrites while it is read [s]. */
const MARGIN_S = 0.25;
/** Buffers under way while the past is read. */
const BUFFERS = 4;
const EVERY_MOST = 20_000;

interface Running {
  readonly past: Past;
  readonly tap: RecordingTap;
  readonly from_s: number;
}

export class RecordingCalls {
  private running: Running | undefined;
  private seen = -1;
  private beginning = false;

  /** After every period, also one that is gone through again. */
  see(tick: number, sample: Float64Array): void {
    const { running } = this;
    if (!running) return;
    if (tick <= this.seen) {
      // What is gone through again has the same bits. What is carried on from an earlier moment has not.
      const { end, period_s } = running.past.archive;
      if (end < this.seen) this.end(WORDS.branched((tick * period_s).toFixed(3)));
      return;
    }
    this.seen = tick;
    running.tap.see(tick, sample);
  }

  /** Another bench comes: the recording is of the one before. */
  leave(): void {
    this.end(WORDS.otherBench);
  }

  calls(past: () => Past): RecordingApi {
    return {
      recordTo: (ask, port) => orNone(port, () => this.begin(past(), ask, port)),
      recordPast: (ask, seconds_s, port) => orNone(port, () => takePast(past(), ask, seconds_s, port)),
      endRecording: () => this.end(''),
    };
  }

  private async begin(past: Past, ask: RecordAsk, port: MessagePort): Promise<void> {
    if (this.running || this.beginning) throw new RangeError(WORDS.running);
    const columns = checkedColumns(ask);
    this.beginning = true;
    try {
      const { made } = past.course;
      const run = await headerOf(made, past, ask.controller);
      const tap = new RecordingTap(
        port,
        columns.map(({ id }) => id as SignalId),
        ask.every,
        () => this.end(tap.refused),
      );
      tap.tell({ kind: 'begin', run, columns, tick_s: past.archive.period_s, every: ask.every });
      this.seen = made.bench.plant.tick;
      this.running = { past, tap, from_s: past.now_s };
    } finally {
      this.beginning = false;
    }
  }

  private end(why: string): void {
    const { running } = this;
    if (!running) return;
    this.running = undefined;
    const { tap, past, from_s } = running;
    const to_s = Math.max(from_s, this.seen * past.archive.period_s);
    tap.close({ kind: 'end', run: endOf({ past, from_s, to_s, why }) });
  }
}

/** Where it is refused, the recorder hears that nothing comes. */
async function orNone(port: MessagePort, work: () => Promise<void>): Promise<void> {
  try {
    await work();
  } catch (error) {
    port.postMessage({ kind: 'none' } satisfies ToRecorder);
    throw error;
  }
}

/** Sends rows of the archive while the run goes on, a few buffers at a time. */
async function takePast(past: Past, ask: RecordAsk, seconds_s: number, port: MessagePort): Promise<void> {
  requireRange('seconds_s', seconds_s, 0.001, PAST_MOST_S, 's');
  const { made } = past.course;
  const { archive } = past;
  const { period_s, end } = archive;
  const margin = end - archive.firstRow >= PAST_MOST_S / period_s ? Math.round(MARGIN_S / period_s) : 0;
  const first = Math.max(archive.firstRow + margin, end - Math.round(seconds_s / period_s));
  if (first >= end) throw new RangeError(WORDS.noPast);
  // What is kept are float32: stored wider they would look like more than they are.
  const columns = checkedColumns(ask).map((column) => ({ ...column, storage: 'float32' as const }));
  const run = await headerOf(made, past, ask.controller);
  const tap = new RecordingTap(
    port,
    columns.map(({ id }) => id as SignalId),
    ask.every,
  );
  tap.tell({ kind: 'begin', run, columns, tick_s: period_s, every: ask.every });
  const places = columns.map(({ id }) => SIGNAL_INDEX[id as SignalId]);
  const row = new Float64Array(Object.keys(SIGNAL_INDEX).length);
  for (let period = first; period < end && tap.refused === ''; period++) {
    if (period < archive.firstRow || period >= archive.end) continue; // overwritten or carried on meanwhile: a gap, and told
    for (const place of places) row[place] = archive.row(period, place);
    tap.see(period + 1, row); // the row of a period is what stands at its end
    if ((period - first) % ROWS_TOGETHER === ROWS_TOGETHER - 1) {
      await tap.drained(BUFFERS);
      await new Promise((next) => setTimeout(next, 0)); // turns of the run get in between
    }
  }
  const why = WORDS.past(((end - first) * period_s).toFixed(2));
  const span = { from_s: (first + 1) * period_s, to_s: end * period_s };
  tap.close({ kind: 'end', run: { ...endOf({ past, ...span, why }), virtual_s: span.to_s } });
}

function checkedColumns({ signals, every }: RecordAsk) {
  requireRange('every', every, 1, EVERY_MOST, '');
  if (!Number.isInteger(every)) throw new RangeError(`every is ${every}; allowed is a whole number`);
  if (signals.length === 0) throw new RangeError(WORDS.noSignals);
  const all = new Map(columnsOf().map((column) => [column.id, column]));
  return [...new Set<SignalId>(signals)].map((id) => {
    const column = all.get(id);
    if (!column) throw new RangeError(WORDS.notASignal(id));
    return column;
  });
}
