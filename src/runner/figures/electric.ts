/**
 * Currents and link voltage, as they stand at the end of each update.
 *
 * Span  from the first driven leg of a press on, the closing of its contact left out (presses.ts). Peaks count until the
 *       next press, so that braking is in them; lowest link voltage and rms until the release.
 */
import { SIGNAL_INDEX as S } from '../../signals.ts';
import { type Figure, type FigureKind, figureOf } from './figure.ts';
import type { Presses } from './presses.ts';

const current = { unit: 'A', show: 'A', better: 'lower' } as const;
const voltage = { unit: 'V', show: 'V' } as const;
const PHASE: FigureKind = { id: 'phaseCurrentPeak', what: 'phase current, peak', ...current };
const RMS: FigureKind = { id: 'phaseCurrentRms', what: 'phase current, rms of the three', ...current };
const PACK: FigureKind = { id: 'packCurrentPeak', what: 'pack current, peak', ...current };
const HIGH: FigureKind = { id: 'linkHighest', what: 'link voltage, highest', ...voltage, better: 'lower' };
const LOW: FigureKind = { id: 'linkLowest', what: 'link voltage, lowest', ...voltage, better: 'higher' };

export class Electric {
  private readonly presses: Presses;
  private phase_A = Number.NEGATIVE_INFINITY;
  private pack_A = Number.NEGATIVE_INFINITY;
  private high_V = Number.NEGATIVE_INFINITY;
  private low_V = Number.POSITIVE_INFINITY;
  private squares = 0;
  private count = 0;

  /** @param presses of the same run; sees each sample before this does */
  constructor(presses: Presses) {
    this.presses = presses;
  }

  see(sample: Float64Array): void {
    const { driven, pressed } = this.presses;
    if (!driven) return;
    const a = sample[S.currentA];
    const b = sample[S.currentB];
    const c = sample[S.currentC];
    const link = sample[S.link];
    this.phase_A = Math.max(this.phase_A, Math.abs(a), Math.abs(b), Math.abs(c));
    this.pack_A = Math.max(this.pack_A, Math.abs(sample[S.packCurrent]));
    this.high_V = Math.max(this.high_V, link);
    if (!pressed) return;
    this.low_V = Math.min(this.low_V, link);
    this.squares += (a * a + b * b + c * c) / 3;
    this.count++;
  }

  figures(): Figure[] {
    const why = 'no leg was driven';
    return [
      figureOf(PHASE, this.phase_A, why),
      figureOf(RMS, Math.sqrt(this.squares / this.count), why),
      figureOf(PACK, this.pack_A, why),
      figureOf(HIGH, this.high_V, why),
      figureOf(LOW, this.low_V, why),
    ];
  }
}
