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
  legSources,
  legVoltages,
  raisePole,
  releaseBlocked,
  zeroShare,
} from './bridge.ts';
import type { Halls } from './hall.ts';
import { boundLoad, commitLoad } from './load/index.ts';
import { type ScrewMap, screwMap } from './load/screw.ts';
import type { DrillParams } from './params.ts';
import { advanceSpeeds, gearTorque, turnFrame } from './shaft.ts';
import { slot } from './slots.ts';
import { commitSupply, solveSupply, startSupply } from './supply.ts';
import {
  advanceFlux,
  clampPhase,
  endCurrent,
  meanCurrentAndTorque,
  startWinding,
  type WindingMap,
  zeroCurrentFlux,
} from './winding.ts';
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
const IN_PERIOD = slot('inPeriod');

const DT = work('dt');
const SHARE = work('share');
const PER_RATIO = work('perRatio');
const MESH_LOSS = work('meshLoss');
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
const RC1_MID = work('rc1Mid');
const RC2_MID = work('rc2Mid');

export class Stepper {
  /** Scratch of the step; the gates read the period from it and leave the next edge in it. */
  readonly w = new Float64Array(WORK_LENGTH);
  private readonly x: Float64Array;
  private readonly p: DrillParams;
  private readonly map: WindingMap;
  private readonly screw: ScrewMap;
  private readonly halls: Halls;
  /** 1 over the reduction, per gear; index 0 unused. */ private readonly perRatio: Float64Array;

  constructor(state: Float64Array, params: DrillParams, map: WindingMap, ratios: Float64Array, halls: Halls) {
    this.x = state;
    this.p = params;
    this.map = map;
    this.screw = screwMap(params.screw);
    this.halls = halls;
    this.perRatio = ratios.map((r) => 1 / r);
    this.w[work('period')] = 1 / params.bridge.pwm_Hz;
  }

  /** Advances the state to the time `until` of the period, splitting at current zeros of the diodes. */
  advance(until: Float64Array): void {
    const { x, w } = this;
    let mayRelease = true;
    for (let change = 0; ; change++) {
      const left = until[0] - x[IN_PERIOD];
      w[DT] = left;
      this.solve(mayRelease);
      const leg = change < MODE_CHANGES ? exhaustedLeg(x, w) : -1;
      if (leg < 0) break;
      const part = left * w[SHARE];
      if (part < SHORTEST_S) {
        // The diode would have to carry backwards from the start: it blocks, and stays so for this stretch.
        blockLeg(x, leg);
        mayRelease = false;
        continue;
      }
      if (left - part < SHORTEST_S) {
        this.commit();
        blockLeg(x, leg);
        x[IN_PERIOD] = until[0];
        return;
      }
      w[DT] = part;
      this.solve(mayRelease);
      this.refine(leg, until);
      this.commit();
      x[IN_PERIOD] += w[DT];
      blockLeg(x, leg);
    }
    this.commit();
    x[IN_PERIOD] = until[0];
  }

  /** One secant step towards the zero of the current of `leg`, if it stays inside the stretch. */
  private refine(leg: number, until: Float64Array): void {
    const { x, w } = this;
    zeroShare(x, w, leg);
    const better = w[DT] * w[SHARE];
    if (!(better > SHORTEST_S && better < until[0] - x[IN_PERIOD])) return;
    w[DT] = better;
    this.solve(true);
  }

  /** Solves a stretch of w.dt into the scratch; the state keeps its start, but for the modes of blocked legs. */
  private solve(mayRelease: boolean): void {
    const { x, w, p } = this;
    startWinding(x, w, this.map);
    startSupply(x, w, p.pack, p.link);
    boundLoad(x, w, this.screw);
    w[PER_RATIO] = this.perRatio[x[GEAR]];
    w[MESH_LOSS] = p.gear.meshLoss[x[GEAR] - 1];
    w[LINK] = x[LINK_V];
    w[ROTOR1] = x[ROTOR];
    w[CHUCK1] = x[CHUCK];
    for (let change = 0; change < MODE_CHANGES; change++) {
      w[I_A] = x[I0_A];
      w[I_B] = x[I0_B];
      w[AIR_GAP] = x[TORQUE];
      this.iterate();
      if (!mayRelease || !releaseBlocked(x, w, p.bridge)) break;
    }
    endCurrent(w, this.map);
  }

  /** Fixed-point passes with the present modes. */
  private iterate(): void {
    const { x, w, p, map } = this;
    const blocked = countBlocked(x);
    legSources(x, w, p.bridge);
    for (let pass = 1; ; pass++) {
      // The first pass turns on with the old speed: that shifts the angle by less than the passes after it can see.
      if (pass > 1) {
        gearTorque(x, w, p.gear);
        advanceSpeeds(x, w, p.shaft);
      }
      turnFrame(x, w, map.polePairs);
      if (blocked >= 2) {
        zeroCurrentFlux(w, map);
        floatingVoltage(x, w);
      } else {
        legVoltages(w);
        advanceFlux(x, w, map);
        if (blocked === 1) {
          const k = blockedLeg(x);
          clampPhase(w, map, k);
          raisePole(w, k);
        }
      }
      if (pass === PASSES) return;
      meanCurrentAndTorque(x, w, map);
    }
  }

  /** Books the energy of the solved stretch and makes its end the new state. */
  private commit(): void {
    const { x, w, p } = this;
    solveSupply(w, p.link);
    bookElectrical(x, w, p);
    bookMechanical(x, w, p.shaft);
    commitLoad(x, w, this.screw);
    commitSupply(x, w, p.pack, p.link);
    this.halls.renew(x, w);
    x[PSI_A] = w[PSI1_A];
    x[PSI_B] = w[PSI1_B];
    x[I0_A] = w[I1_A];
    x[I0_B] = w[I1_B];
    x[TORQUE] = w[AIR_GAP];
    // One Newton step keeps cosine and sine on the unit circle.
    const f = 1.5 - 0.5 * (w[COS1] * w[COS1] + w[SIN1] * w[SIN1]);
    x[COS] = w[COS1] * f;
    x[SIN] = w[SIN1] * f;
    x[ANGLE] += 0.5 * w[DT] * (x[ROTOR] + w[ROTOR1]);
    x[ROTOR] = w[ROTOR1];
    x[CHUCK] = w[CHUCK1];
    x[TWIST] = w[TWIST1];
    x[GEAR_TORQUE] = w[SPRING] + w[DAMPER];
    x[LOAD_TORQUE] = w[CHUCK_HOLD] * chuckLoadShare(w, p.shaft);
    x[LINK_V] = w[LINK];
    x[PACK_V] = x[OCV] - w[RC1_MID] - w[RC2_MID] - x[PACK_I] * p.pack.series * p.pack.r0_ohm;
    for (let k = 0; k < 3; k++) x[POLE_VS + k] += w[DT] * w[POLE + k];
  }
}
