/** All figures of one run, collected tick by tick. A tick allocates nothing beside the few events that are listed. */
import type { DrillParams } from '../../plant/params.ts';
import { STATE_RUNNING } from '../../protocol/frames.ts';
import { SIGNAL_INDEX as S } from '../../signals.ts';
import type { BenchCore } from '../core.ts';
import { AngleError, type AngleWatch, angleWatch } from './angle.ts';
import { Electric } from './electric.ts';
import { type EnergyOutcome, energyFigures } from './energy.ts';
import type { Figure } from './figure.ts';
import { HeatRise } from './heat.ts';
import { Presses } from './presses.ts';
import { TorqueRipple } from './ripple.ts';
import { Starts } from './start.ts';
import { Trips } from './trips.ts';

export class RunFigures {
  readonly presses: Presses;
  readonly starts: Starts;
  readonly angle: AngleError;
  readonly trips = new Trips();
  private readonly watch: AngleWatch;
  private readonly ripple = new TorqueRipple();
  private readonly electric: Electric;
  private readonly heat = new HeatRise();
  private readonly estimate = Float64Array.of(Number.NaN);
  private readonly bench: Pick<BenchCore, 'hello' | 'drive' | 'sense'>;

  /** @param bench whose ticks are seen; its last answer carries the watch values */
  constructor(bench: Pick<BenchCore, 'hello' | 'drive' | 'sense'>, drill: Pick<DrillParams, 'pack'>) {
    this.bench = bench;
    this.watch = angleWatch(bench.hello);
    this.presses = new Presses(drill.pack);
    this.starts = new Starts(this.presses);
    this.electric = new Electric(this.presses);
    this.angle = new AngleError(this.watch.why);
  }

  /** Takes the sample of one tick, after it. */
  see(sample: Float64Array): void {
    const { drive, sense } = this.bench;
    const { place, factor } = this.watch;
    // An answer to another tick is not the estimate of this one.
    const fresh = place >= 0 && sample[S.controllerState] === STATE_RUNNING && drive.tick === sense.tick;
    this.estimate[0] = fresh ? drive.watch[place] * factor : Number.NaN;
    this.presses.see(sample);
    this.starts.see(sample);
    this.angle.see(sample, this.estimate);
    this.ripple.see(sample);
    this.electric.see(sample);
    this.heat.see(sample);
    this.trips.see(sample);
  }

  /** The figures, in the order in which they are shown. */
  list(outcome: EnergyOutcome): Figure[] {
    return [
      ...this.starts.figures(),
      ...this.angle.figures(),
      ...this.ripple.figures(),
      ...energyFigures(outcome),
      ...this.electric.figures(),
      ...this.heat.figures(),
      ...this.trips.figures(),
    ];
  }
}
