/**
 * A rough inductance along phase A from single pulses, before anything is known: one period up, one period down, legs open. The
 * pulses grow until the current is well seen and stay far below what the board carries.
 */
import { FINISHED, GOING_ON, REJECTED } from './outcome.ts';
import type { PowerStage } from './power-stage.ts';
import { REASON_NO_CURRENT } from './tables.ts';

/** First pulse and growth: shares of the link. */
const FIRST_SHARE = 0.02;
const GROWTH = 1.4;
const LAST_SHARE = 0.6;
/** Current that is enough, as a share of the largest allowed. */
const ENOUGH_SHARE = 0.1;
/** Ticks of one try: up, down, then open until the current is gone. */
const LAP_TICKS = 12;
/** Sample at the tip: the command of tick 0 acts in the next period and ends with the one after. */
const TIP_TICK = 2;

export class RoughInductance {
  /** [H] */ henry = 0;
  trouble = 0;
  private tick = 0;
  private share = FIRST_SHARE;

  reset(): void {
    this.tick = 0;
    this.share = FIRST_SHARE;
    this.trouble = 0;
  }

  step(stage: PowerStage, tick_s: number, most_A: number): number {
    const volt = this.share * stage.link_V;
    if (this.tick === 0) stage.volts(volt, 0);
    else if (this.tick === 1) stage.volts(-volt, 0);
    else stage.off();
    if (this.tick === TIP_TICK && stage.iAlpha >= ENOUGH_SHARE * most_A) {
      this.henry = (stage.uAlpha * tick_s) / stage.iAlpha;
      stage.off();
      return FINISHED;
    }
    this.tick++;
    if (this.tick === LAP_TICKS) {
      this.tick = 0;
      this.share *= GROWTH;
      if (this.share > LAST_SHARE) {
        this.trouble = REASON_NO_CURRENT;
        return REJECTED;
      }
    }
    return GOING_ON;
  }
}
