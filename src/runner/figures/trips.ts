/** Trips that a controller reports: each time that its reason becomes another one than none. */
import { TRIP_NONE } from '../../protocol/frames.ts';
import { SIGNAL_INDEX as S } from '../../signals.ts';
import { type Figure, figureOf } from './figure.ts';

export interface Trip {
  readonly at_s: number;
  /** Code of Drive.trip. */ readonly reason: number;
}

export class Trips {
  /** All trips so far. */ readonly list: Trip[] = [];
  private last = TRIP_NONE;

  see(sample: Float64Array): void {
    const reason = sample[S.tripReason];
    if (reason !== this.last && reason !== TRIP_NONE) this.list.push({ at_s: sample[S.time], reason });
    this.last = reason;
  }

  figures(): Figure[] {
    return [figureOf({ id: 'trips', what: 'trips', unit: '', show: '', better: 'lower' }, this.list.length, '')];
  }
}
