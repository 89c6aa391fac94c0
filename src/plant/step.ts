/**
 * One step of the coupled plant: from the start of a stretch of time in which no switch changes to its end.
 *
 * Scheme  the implicit equations of winding, link and shaft are solved by fixed-point passes. A pass shrinks the error
 *         of the mean current by dt R / 2 L, under 1e-3 at 1 us, so three passes leave less than 1e-9 of it; the
 *         energy audit sees what is left.
 */
import { bookElectrical, bookMechanical, chuckLoadShare } from './audit.ts';
import {
  blockedLeg,
  blockLeg,
  countBlocked,
  exhaustedLeg,
  floatingVoltage,
  railCurrent,
  raisePole,
  releaseBlocked,
  windingVoltage,
  zeroShare,
} from './bridge.ts';
import { AXIS_ALPHA, AXIS_BETA } from './gates.ts';
import { boundLoad, commitLoad } from './load/index.ts';
import type { DrillParams } from './params.ts';
import { advanceSpeeds, gearTorque, turnFrame } from './shaft.ts';
import { slot } from './slots.ts';
import { commitSupply, solveLink, startSupply } from './supply.ts';
import { advanceFlux, clampPhase, endCurrent, meanCurrentAndTorque, startWinding, zeroCurrentFlux } from './winding.ts';
import { WORK_LENGTH, work } from './work.ts';

/** Passes of the fixed point; see the head. */
const PASSES = 3;
/** Most changes of diode modes within one stretch; more can only be rounding at a bound. */
const MODE_CHANGES = 8;
/** Stretches shorter than this carry no current change that a converter could see [s]. */
const SHORTEST_S = 1e-11;

const GEAR = slot('gear');
const I0_A = slot('iAlpha');
const I0_B = slot('iBeta');
const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');
const TORQUE = slot('airGap');
const COS = slot('cos');
const SIN = slot('sin');
const ANGLE = slot('rotorAngle');
const ROTOR = slot('rotorSpeed');
const CHUCK = slot('chuckSpeed');
const TWIST = slot('twist');
const GEAR_TORQUE = slot('gearTorque');
const LOAD_TORQUE = slot('loadTorque');
const LINK_V = slot('link');
const PACK_V = slot('packVoltage');
const PACK_I = slot('packCurrent');
const POLE_VS = slot('poleA');
const OCV = slot('ocv');

const I_A = work('iAlpha');
const I_B = work('iBeta');
const I1_A = work('i1Alpha');
const I1_B = work('i1Beta');
const PSI1_A = work('psiAlpha');
const PSI1_B = work('psiBeta');
const AIR_GAP = work('airGap');
const ROTOR1 = work('rotor1');
const CHUCK1 = work('chuck1');
const TWIST1 = work('twist1');
const SPRING = work('spring');
const DAMPER = work('damper');
const CHUCK_HOLD = work('chuckHold');
const COS1 = work('cos1');
const SIN1 = work('sin1');
const LINK = work('link');
const POLE = work('poleA');
const MU = work('mu');
const RC1_MID = work('rc1Mid');
const RC2_MID = work('rc2Mid');

export class Stepper {
  private readonly x: Float64Array;
  private readonly w = new Float64Array(WORK_LENGTH);
  private readonly p: DrillParams;
  private readonly map: WindingMap;
  /** 1 over the reduction, per gear; index 0 unused. */ private readonly perRatio: Float64Array;

  constructor(state: Float64Array, params: DrillParams, map: WindingMap, ratios: Float64Array) {
    this.x = state;
    this.p = params;
    this.map = map;
    this.perRatio = ratios.map((r) => 1 / r);
  }

  /** Advances the state by dt_s, splitting at current zeros of the diodes. */
  advance(dt_s: number): void {
    let left = dt_s;
    let mayRelease = true;
    for (let change = 0; left > 0; change++) {
      this.solve(left, mayRelease);
      const leg = change < MODE_CHANGES ? exhaustedLeg(this.x, this.w) : -1;
      if (leg < 0) {
        this.commit(left);
        return;
      }
      let part = left * zeroShare(this.x, this.w, leg);
      if (part < SHORTEST_S) {
        // The diode would have to carry backwards from the start: it blocks, and stays so for this stretch.
        blockLeg(this.x, leg);
        mayRelease = false;
        continue;
      }
      if (left - part > SHORTEST_S) {
        this.solve(part, mayRelease);
        part = this.refine(part, left, leg);
      } else {
        part = left;
      }
      this.commit(part);
      blockLeg(this.x, leg);
      left -= part;
    }
  }

  /** One secant step towards the zero of the current of `leg`; the stretch of the returned length is solved. */
  private refine(part_s: number, left_s: number, leg: number): number {
    const share = this.crossing(leg);
    const better = part_s * share;
    if (!(better > SHORTEST_S && better < left_s)) return part_s;
    this.solve(better, true);
    return better;
  }

  /** Share of the solved stretch, above 1 for later, at which the current of `leg` passes zero on a straight line. */
  private crossing(leg: number): number {
    const { x, w } = this;
    const i0 = AXIS_ALPHA[leg] * x[I0_A] + AXIS_BETA[leg] * x[I0_B];
    const i1 = AXIS_ALPHA[leg] * w[I1_A] + AXIS_BETA[leg] * w[I1_B];
    return i0 === i1 ? 1 : i0 / (i0 - i1);
  }

  /** Solves a stretch of dt_s into the scratch; the state keeps its start, but for the modes of blocked legs. */
  private solve(dt_s: number, mayRelease: boolean): void {
    const { x, w, p, map } = this;
    startWinding(x, w, map);
    startSupply(x, w, p.pack, dt_s);
    boundLoad(x, w, p.screw, dt_s);
    w[LINK] = x[LINK_V];
    w[MU] = 0.5 * x[LINK_V];
    w[ROTOR1] = x[ROTOR];
    w[CHUCK1] = x[CHUCK];
    for (let change = 0; change < MODE_CHANGES; change++) {
      w[I_A] = x[I0_A];
      w[I_B] = x[I0_B];
      w[AIR_GAP] = x[TORQUE];
      this.iterate(dt_s);
      if (!mayRelease || !releaseBlocked(x, w, p.bridge)) break;
    }
    endCurrent(w, map);
  }

  /** Fixed-point passes with the present modes. */
  private iterate(dt_s: number): void {
    const { x, w, p, map } = this;
    const perRatio = this.perRatio[x[GEAR]];
    const meshLoss = p.gear.meshLoss[x[GEAR] - 1];
    const blocked = countBlocked(x);
    for (let pass = 1; ; pass++) {
      railCurrent(x, w);
      solveLink(x, w, p.link, dt_s);
      // The first pass turns on with the old speed: that shifts the angle by less than the passes after it can see.
      if (pass > 1) {
        gearTorque(x, w, p.gear, perRatio, dt_s);
        advanceSpeeds(x, w, p.shaft, perRatio, meshLoss, dt_s);
      }
      turnFrame(x, w, map.polePairs, dt_s);
      if (blocked >= 2) {
        zeroCurrentFlux(w, map);
        floatingVoltage(x, w, dt_s);
      } else {
        windingVoltage(x, w, p.bridge);
        advanceFlux(x, w, map, dt_s);
        if (blocked === 1) {
          const k = blockedLeg(x);
          raisePole(w, k, clampPhase(w, map, AXIS_ALPHA[k], AXIS_BETA[k]), dt_s);
        }
      }
      if (pass === PASSES) return;
      meanCurrentAndTorque(x, w, map);
    }
  }

  /** Books the energy of the solved stretch and makes its end the new state. */
  private commit(dt_s: number): void {
    const { x, w, p } = this;
    const perRatio = this.perRatio[x[GEAR]];
    bookElectrical(x, w, p, dt_s);
    bookMechanical(x, w, p, perRatio, p.gear.meshLoss[x[GEAR] - 1], dt_s);
    commitLoad(x, w, p.screw, dt_s);
    commitSupply(x, w, p.pack, p.link, dt_s);
    x[PSI_A] = w[PSI1_A];
    x[PSI_B] = w[PSI1_B];
    x[I0_A] = w[I1_A];
    x[I0_B] = w[I1_B];
    x[TORQUE] = w[AIR_GAP];
    // One Newton step keeps cosine and sine on the unit circle.
    const f = 1.5 - 0.5 * (w[COS1] * w[COS1] + w[SIN1] * w[SIN1]);
    x[COS] = w[COS1] * f;
    x[SIN] = w[SIN1] * f;
    x[ANGLE] += 0.5 * dt_s * (x[ROTOR] + w[ROTOR1]);
    x[ROTOR] = w[ROTOR1];
    x[CHUCK] = w[CHUCK1];
    x[TWIST] = w[TWIST1];
    x[GEAR_TORQUE] = w[SPRING] + w[DAMPER];
    x[LOAD_TORQUE] = w[CHUCK_HOLD] * chuckLoadShare(w, p.shaft.chuckFriction_Nm);
    x[LINK_V] = w[LINK];
    x[PACK_V] = x[OCV] - w[RC1_MID] - w[RC2_MID] - x[PACK_I] * p.pack.series * p.pack.r0_ohm;
    x[POLE_VS] += dt_s * w[POLE];
    x[POLE_VS + 1] += dt_s * w[POLE + 1];
    x[POLE_VS + 2] += dt_s * w[POLE + 2];
  }
}
