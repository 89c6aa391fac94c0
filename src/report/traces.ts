/**
 * Traces of a run for a plot: each column of the picture keeps least, greatest and mean of all ticks that fall into it, so that
 * nothing that lasted a tick is lost, however long the run.
 */
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../signals.ts';
import { toDisplay } from '../units/convert.ts';

export interface Channel {
  readonly id: string;
  readonly title: string;
  /** Display unit. */ readonly unit: string;
}

/** A signal as a channel. */
export const signalChannel = (id: SignalId, title: string): Channel => ({
  id,
  title,
  unit: SIGNALS[SIGNAL_INDEX[id]].show,
});

/** Most columns of a picture. */
export const COLUMNS_MOST = 840;

/** One column of one trace, in the display unit. */
export interface Column {
  /** Middle of the column as a share of the run, 0 to 1. */ readonly at: number;
  readonly least: number;
  readonly greatest: number;
  readonly mean: number;
}

/** What a plot needs of a run, one channel at a time. */
export class ChannelTraces {
  readonly channels: readonly Channel[];
  /** Place in the sample, -1 for what comes beside it. */ private readonly places: readonly number[];
  private readonly columns: number;
  private readonly ticks: number;
  private readonly least: Float64Array;
  private readonly greatest: Float64Array;
  private readonly sum: Float64Array;
  private readonly count: Float64Array;
  private tick = 0;

  /**
   * @param ticks of the whole run, 1 or more; ticks beyond them fall into the last column
   * @param columns most columns of the picture
   */
  constructor(channels: readonly Channel[], ticks: number, columns = COLUMNS_MOST) {
    this.channels = channels;
    this.places = channels.map(({ id }) => SIGNALS.findIndex((each) => each.id === id));
    this.ticks = ticks;
    this.columns = Math.min(columns, ticks);
    const length = channels.length * this.columns;
    this.least = new Float64Array(length).fill(Number.POSITIVE_INFINITY);
    this.greatest = new Float64Array(length).fill(Number.NEGATIVE_INFINITY);
    this.sum = new Float64Array(length);
    this.count = new Float64Array(length);
  }

  /** @param beside_SI value of this tick for channels that are no signal, NaN for none */
  see(sample: Float64Array, beside_SI: number): void {
    const column = Math.min(this.columns - 1, Math.floor((this.tick * this.columns) / this.ticks));
    for (let k = 0; k < this.places.length; k++) {
      this.add(k * this.columns + column, this.places[k] < 0 ? beside_SI : sample[this.places[k]]);
    }
    this.tick++;
  }

  private add(at: number, value: number): void {
    if (Number.isNaN(value)) return;
    if (value < this.least[at]) this.least[at] = value;
    if (value > this.greatest[at]) this.greatest[at] = value;
    this.sum[at] += value;
    this.count[at]++;
  }

  /** The trace of a channel in runs of neighboring columns: where there was no value, the trace is broken. */
  pieces(channel: Channel): Column[][] {
    const base = this.channels.indexOf(channel) * this.columns;
    const all: Column[][] = [];
    let open = false;
    for (let k = 0; k < this.columns; k++) {
      const count = this.count[base + k];
      if (count > 0) {
        if (!open) all.push([]);
        all[all.length - 1].push({
          at: (k + 0.5) / this.columns,
          least: toDisplay(this.least[base + k], channel.unit),
          greatest: toDisplay(this.greatest[base + k], channel.unit),
          mean: toDisplay(this.sum[base + k] / count, channel.unit),
        });
      }
      open = count > 0;
    }
    return all;
  }
}
