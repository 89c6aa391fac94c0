/** Rise of the temperatures: highest of the run minus that of its first tick. Of the legs the hottest one counts. */
import { SIGNAL_INDEX as S } from '../../signals.ts';
import { type Figure, type FigureKind, figureOf } from './figure.ts';

const rise = { unit: 'K', show: 'K', better: 'lower' } as const;
const KINDS: readonly FigureKind[] = [
  { id: 'windingRise', what: 'winding, rise', ...rise },
  { id: 'legRise', what: 'hottest leg, rise', ...rise },
  { id: 'cellRise', what: 'cells, rise', ...rise },
];

export class HeatRise {
  private readonly first = new Float64Array(KINDS.length);
  private readonly highest = new Float64Array(KINDS.length).fill(Number.NaN);
  private readonly now = new Float64Array(KINDS.length);

  see(sample: Float64Array): void {
    const { first, highest, now } = this;
    now[0] = sample[S.windingHeat];
    now[1] = Math.max(sample[S.legHeatA], sample[S.legHeatB], sample[S.legHeatC]);
    now[2] = sample[S.cellHeat];
    for (let k = 0; k < now.length; k++) {
      if (Number.isNaN(highest[k])) first[k] = now[k];
      if (!(highest[k] >= now[k])) highest[k] = now[k];
    }
  }

  figures(): Figure[] {
    return KINDS.map((kind, k) => figureOf(kind, this.highest[k] - this.first[k], 'the run has no tick'));
  }
}
