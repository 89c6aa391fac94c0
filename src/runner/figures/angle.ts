/**
 * How far the angle that a controller estimates is from the rotor.
 *
 * Instant  an estimate travels in the answer to a sample and is held against the rotor at the instant of that sample,
 *          the start of the tick; the truth of a tick is written down at its end, so the one before counts.
 * Wrap     to half an electrical turn either way.
 * Counted only while the controller reports that it runs, and only answers to the tick that was asked.
 */
import { STATE_RUNNING } from '../../protocol/frames.ts';
import type { Hello } from '../../protocol/hello.ts';
import { SIGNAL_INDEX as S } from '../../signals.ts';
import { DISPLAY_UNITS } from '../../units/convert.ts';
import { type Figure, type FigureKind, figureOf } from './figure.ts';

const TURN_RAD = 2 * Math.PI;

/** Where the estimate is found among the watch values, or why there is none. */
export interface AngleWatch {
  /** Place in Drive.watch, -1 for none. */ readonly place: number;
  /** Electrical radians of one unit of it. */ readonly factor: number;
  readonly why: string;
}

/** Finds the watch value that is tied to the signal 'rotorAngle'. */
export function angleWatch(hello: Pick<Hello, 'watch'>): AngleWatch {
  const place = hello.watch.findIndex(({ signal }) => signal === 'rotorAngle');
  if (place < 0) return { place, factor: Number.NaN, why: "no watch value is tied to 'rotorAngle'" };
  const { name, unit } = hello.watch[place];
  const known = Object.hasOwn(DISPLAY_UNITS, unit) ? DISPLAY_UNITS[unit] : undefined;
  if (known?.si === 'rad') return { place, factor: known.factor, why: '' };
  const allowed = Object.keys(DISPLAY_UNITS).filter((each) => DISPLAY_UNITS[each].si === 'rad');
  return { place: -1, factor: Number.NaN, why: `'${name}' has the unit '${unit}'; allowed are ${allowed.join(', ')}` };
}

const angle = { unit: 'rad', show: 'deg el', better: 'lower' } as const;
const RMS: FigureKind = { id: 'angleErrorRms', what: 'angle error, rms', ...angle };
const WORST: FigureKind = { id: 'angleErrorWorst', what: 'angle error, worst', ...angle };

export class AngleError {
  /** Estimate minus truth of the last tick, wrapped [rad]; NaN when there was none. */
  now_rad = Number.NaN;
  private readonly missing: string;
  private truth_rad = Number.NaN;
  private squares = 0;
  private worst_rad = 0;
  private count = 0;

  /** @param missing why there is no estimate at all, '' when there is one */
  constructor(missing: string) {
    this.missing = missing;
  }

  /** @param estimate one number: what the answer in this tick says [rad], NaN for nothing */
  see(sample: Float64Array, estimate: Float64Array): void {
    const error = sample[S.controllerState] === STATE_RUNNING ? estimate[0] - this.truth_rad : Number.NaN;
    this.truth_rad = sample[S.rotorAngle];
    this.now_rad = error - TURN_RAD * Math.round(error / TURN_RAD);
    if (Number.isNaN(this.now_rad)) return;
    this.squares += this.now_rad * this.now_rad;
    this.worst_rad = Math.max(this.worst_rad, Math.abs(this.now_rad));
    this.count++;
  }

  figures(): Figure[] {
    const why = this.missing || 'the controller never reported an angle while running';
    return [
      figureOf(RMS, Math.sqrt(this.squares / this.count), why),
      figureOf(WORST, this.count > 0 ? this.worst_rad : Number.NaN, why),
    ];
  }
}
