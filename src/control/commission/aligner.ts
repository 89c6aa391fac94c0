/**
 * Brings magnet north to phase A: a current vector comes round from behind, slows down, and holds.
 *
 * Scheme  a rotor that sits against the vector would not move in a field that stands still; one that turns takes it along. The turn
 *         eases out, so that the rotor is not left swinging. What is left is dry friction over the stiffness of the magnet.
 * Source  common practice, from memory.
 */
import { FINISHED, GOING_ON } from './outcome.ts';
import type { PowerStage } from './power-stage.ts';
import type { VectorLoop } from './vector-loop.ts';

const RAMP_S = 0.03;
const TURN_S = 0.12;
const HOLD_S = 0.06;
/** Where the vector comes from [rad]. */
const FROM_RAD = -4.2;

export class Aligner {
  private time_s = 0;

  reset(): void {
    this.time_s = 0;
  }

  step(stage: PowerStage, loop: VectorLoop, tick_s: number, current_A: number): number {
    const t = this.time_s;
    this.time_s += tick_s;
    const left = Math.max(0, 1 - t / TURN_S);
    const theta = FROM_RAD * left * left;
    const w = left > 0 ? (-2 * FROM_RAD * left) / TURN_S : 0;
    loop.step(stage, theta, w, current_A * Math.min(1, t / RAMP_S), 0);
    return t > TURN_S + HOLD_S ? FINISHED : GOING_ON;
  }
}
