/**
 * Flux of the magnet and inertia from a turning rotor.
 *
 * Scheme  a current vector drags the aligned rotor along, faster and faster, until the EMF can be followed. From there on the current is
 *         put across the flux that is seen: forward up to 36 % of the linear voltage, then along the flux, with it and against it,
 *         while the rotor coasts, then backward down to the start.
 *         Flux: mean of the two stretches of coasting. Resistance, dead time and sag of the link act across the EMF there, and inductance
 *         once up, once down. Without any current dead time would be unknown: it hangs on signs.
 *         Inertia: torque over acceleration, forward less backward over the same speeds, so that friction falls out:
 *         J = 1.5 p^2 lambda (iq1 - iq2) / (w1' - w2').
 *         Then the current brakes on, and a short takes the rest.
 * Needs   a chuck that is free to turn. In a low gear chuck and bit add a share of 1 / ratio^2.
 * Source  common practice, from memory.
 */
import { wrapHalf } from '../../units/elementary.ts';
import { FluxAngle, LEAK_RAD_S } from './flux-angle.ts';
import { FINISHED, GOING_ON, REJECTED } from './outcome.ts';
import type { PowerStage } from './power-stage.ts';
import type { Resistance } from './resistance.ts';
import { Slope } from './slope.ts';
import { REASON_RUN, REASON_STUCK } from './tables.ts';
import type { VectorLoop } from './vector-loop.ts';

/** Currents as shares of the largest. */
const DRAG_SHARE = 0.35;
const PUSH_SHARE = 0.06;
const ALONG_SHARE = 0.11;
/** Acceleration of the dragging vector [rad/s^2 electrical]. */
const DRAG_RAD_S2 = 8000;
const DRAG_MOST_S = 0.5;
/** Below three times its leak the flux is not believed [rad/s]. */
const SHOWN_FROM_RAD_S = 3 * LEAK_RAD_S;
/** EMF as a share of the linear voltage: take over, slopes from, up to; and where braking ends. */
const TAKE_SHARE = 0.12;
const LOW_SHARE = 0.15;
const HIGH_SHARE = 0.36;
const END_SHARE = 0.06;
/** Time from a change of current until the loop has forgotten it [s]. */
const FORGET_S = 0.008;
const FADE_S = 0.01;
const COAST_S = 0.025;
const PHASE_MOST_S = 0.4;
const SHORT_S = 0.06;
const PER_ROOT_3 = 0.5773502691896258;

const DRAG = 0;
const UP = 1;
const WITH = 2;
const AGAINST = 3;
const DOWN = 4;
const STOP = 5;
const SHORTED = 6;

export class Spin {
  /** [Wb] */ lambda_Wb = 0;
  /** Rotor, gearbox on the motor side [kg m^2]. */ inertia_kgm2 = 0;
  trouble = 0;
  readonly flux = new FluxAngle();
  private phase = DRAG;
  private time_s = 0;
  private theta = 0;
  private w = 0;
  private following = false;
  private from_A = 0;
  private readonly up = new Slope();
  private readonly down = new Slope();
  private readonly along = new Slope();
  private readonly against = new Slope();

  /** @param from_A current at which the rotor is held now, north on phase A */
  reset(from_A: number): void {
    this.phase = DRAG;
    this.time_s = 0;
    this.theta = 0;
    this.w = 0;
    this.following = false;
    this.from_A = from_A;
    this.trouble = 0;
    this.flux.reset();
    this.up.reset();
    this.down.reset();
    this.along.reset();
    this.against.reset();
  }

  step(
    stage: PowerStage,
    loop: VectorLoop,
    tick_s: number,
    ohm: Resistance,
    henry: number,
    most_A: number,
    polePairs: number,
  ): number {
    const { flux } = this;
    flux.step(stage, tick_s, ohm.r_ohm, henry, this.w);
    this.time_s += tick_s;
    const share = Math.abs(flux.w * flux.size_Wb) / (PER_ROOT_3 * stage.link_V);
    if (this.phase === DRAG) return this.drag(stage, loop, tick_s, DRAG_SHARE * most_A);
    if (this.phase === SHORTED) {
      stage.short();
      return this.time_s < SHORT_S ? GOING_ON : this.judge(tick_s, polePairs);
    }
    if (this.time_s > PHASE_MOST_S) return this.reject(REASON_RUN);
    const push = this.phase === UP ? 1 : this.phase >= DOWN ? -1 : 0;
    let along = this.phase === WITH ? ALONG_SHARE : this.phase === AGAINST ? -ALONG_SHARE : 0;
    if (this.phase === UP) along = DRAG_SHARE * Math.max(0, 1 - this.time_s / FADE_S);
    loop.step(stage, flux.theta, flux.w, along * most_A, push * PUSH_SHARE * most_A);
    this.note(loop, share);
    return GOING_ON;
  }

  private drag(stage: PowerStage, loop: VectorLoop, tick_s: number, current_A: number): number {
    const { flux } = this;
    this.theta = wrapHalf(this.theta + tick_s * this.w);
    this.w += tick_s * DRAG_RAD_S2;
    const shown = this.w > SHOWN_FROM_RAD_S ? this.w * flux.size_Wb : 0;
    const linear = PER_ROOT_3 * stage.link_V;
    if (!this.following && shown > 0.5 * TAKE_SHARE * linear) {
      flux.follow(flux.theta, this.w);
      this.following = true;
    }
    if (shown > TAKE_SHARE * linear && this.following) {
      // The frame jumps from the vector to the flux.
      loop.turn(wrapHalf(flux.theta - this.theta));
      this.enter(UP);
      loop.step(stage, flux.theta, flux.w, current_A, 0);
      return GOING_ON;
    }
    const grown = Math.min(1, this.time_s / FADE_S);
    loop.step(stage, this.theta, this.w, this.from_A + (current_A - this.from_A) * grown, 0);
    return this.time_s < DRAG_MOST_S ? GOING_ON : this.reject(REASON_STUCK);
  }

  private note(loop: VectorLoop, share: number): void {
    const { flux } = this;
    const settled = this.time_s > FORGET_S + (this.phase === UP ? FADE_S : 0);
    const inside = share > LOW_SHARE && share < HIGH_SHARE;
    if (this.phase === UP) {
      if (settled && inside) this.up.add(flux.w, loop.iq);
      if (share >= HIGH_SHARE) this.enter(WITH);
    } else if (this.phase === WITH) {
      if (settled) this.along.add(flux.size_Wb, loop.id);
      if (this.time_s > COAST_S) this.enter(AGAINST);
    } else if (this.phase === AGAINST) {
      if (settled) this.against.add(flux.size_Wb, loop.id);
      if (this.time_s > COAST_S) this.enter(DOWN);
    } else if (this.phase === DOWN) {
      if (settled && inside) this.down.add(flux.w, loop.iq);
      if (share <= LOW_SHARE) this.enter(STOP);
    } else if (share <= END_SHARE) this.enter(SHORTED);
  }

  private enter(phase: number): void {
    this.phase = phase;
    this.time_s = 0;
  }

  private reject(reason: number): number {
    this.trouble = reason;
    return REJECTED;
  }

  private judge(tick_s: number, polePairs: number): number {
    const { up, down, along, against } = this;
    this.lambda_Wb = 0.5 * (along.meanValue + against.meanValue);
    const apart = (up.perTick - down.perTick) / tick_s;
    const torque = 1.5 * polePairs * polePairs * this.lambda_Wb * (up.meanOther - down.meanOther);
    this.inertia_kgm2 = apart > 0 ? torque / apart : 0;
    return this.lambda_Wb > 0 && this.inertia_kgm2 > 0 ? FINISHED : this.reject(REASON_RUN);
  }
}
