/**
 * Commissioning firmware: measures what a sensorless controller must know of its motor, on that motor, by frames alone.
 *
 * Order   offsets with the legs open; a rough inductance from single pulses; rotor aligned; resistance and dead time by direct
 *         current; rotor turned for flux and inertia; aligned again and let go; pulses all around for the map.
 * Hands   trigger pressed to the end, chuck free, low gear: nobody has to hold anything. Let go, the run is given up.
 * Result  in the watch values, valid in STATE_READY; a run that is given up says why in `trip`.
 * Note    the fit takes one tick here; on a board the legs are open then, and it may take as long as it needs.
 */
import type { Controller } from '../../protocol/controller.ts';
import {
  type Drive,
  SENSE_BOOT,
  type Sense,
  STATE_READY,
  STATE_STARTING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_NONE,
} from '../../protocol/frames.ts';
import type { Hello } from '../../protocol/hello.ts';
import { CALIBRATED, OFFSET_BAD } from '../current-sense.ts';
import { type Build, boardFacts, checkedBuild, TICK_S, USUAL_BUILD } from '../settings.ts';
import { triggerTravel } from '../trigger.ts';
import { Aligner } from './aligner.ts';
import { MapFit, RotorFacts } from './map-fit.ts';
import { MapPulses } from './map-pulses.ts';
import { FINISHED, REJECTED } from './outcome.ts';
import { PowerStage } from './power-stage.ts';
import { Resistance } from './resistance.ts';
import { RoughInductance } from './rough-inductance.ts';
import { type CommissionSettings, commissionSettings } from './settings.ts';
import { Spin } from './spin.ts';
import {
  REASON_CURRENT,
  REASON_LET_GO,
  REASON_MAP,
  REASON_NORTH,
  REASON_OFFSET,
  REASON_RATIO,
  STATE_ALIGN,
  STATE_OHM,
  STATE_PULSES,
  STATE_ROUGH,
  STATE_SETTLE,
  STATE_SPIN,
} from './tables.ts';
import { VectorLoop } from './vector-loop.ts';

/** Current that holds the aligned rotor, as a share of the largest. */
const HOLD_SHARE = 0.4;
/** Time in which it is taken away, and until the rotor rests where friction leaves it [s]. */
const RELEASE_S = 0.02;
const REST_S = 0.04;
const OVER_SHARE = 1.5;
/** Trigger travel that counts as pressed, and as let go. */
const PRESSED = 0.5;
const LET_GO = 0.25;
const RATIO_LEAST = 0.8;
const RATIO_MOST = 3;
/** What the map may leave over, as a share of the largest current. */
const MAP_REST_SHARE = 0.05;
/** Square term over its deviation from which it says where north is. */
const NORTH_SURE = 6;

/** Watch values, in order: the facts, then how well they were met. */
export const FACT_WATCH = Object.freeze([
  Object.freeze({ name: 'resistance', unit: 'ohm' }),
  Object.freeze({ name: 'dead time share', unit: '' }),
  Object.freeze({ name: 'd inductance', unit: 'H' }),
  Object.freeze({ name: 'q inductance', unit: 'H' }),
  Object.freeze({ name: 'd square term', unit: 'A/Wb^2' }),
  Object.freeze({ name: 'd cube term', unit: 'A/Wb^3' }),
  Object.freeze({ name: 'q cube term', unit: 'A/Wb^3' }),
  Object.freeze({ name: 'cross term', unit: 'A/Wb^2' }),
  Object.freeze({ name: 'magnet flux', unit: 'Wb' }),
  Object.freeze({ name: 'inertia', unit: 'kg m^2' }),
  Object.freeze({ name: 'largest current', unit: 'A' }),
  Object.freeze({ name: 'line rest', unit: 'V' }),
  Object.freeze({ name: 'map rest', unit: 'A' }),
  Object.freeze({ name: 'link resistance', unit: 'ohm' }),
  Object.freeze({ name: 'tilt', unit: 'rad' }),
  Object.freeze({ name: 'north', unit: '' }),
  Object.freeze({ name: 'rough inductance', unit: 'H' }),
]);

class Commissioner implements Controller {
  readonly hello: Hello;
  private readonly settings: CommissionSettings;
  private readonly stage: PowerStage;
  private readonly loop = new VectorLoop(TICK_S);
  private readonly rough = new RoughInductance();
  private readonly aligner = new Aligner();
  private readonly ohm = new Resistance();
  private readonly spin = new Spin();
  private readonly pulses = new MapPulses();
  private readonly fit = new MapFit();
  private readonly rotor = new RotorFacts();
  private state = STATE_STARTING;
  private reason = TRIP_NONE;
  private release_s = 0;

  constructor(settings: CommissionSettings, build: Build) {
    this.settings = settings;
    this.stage = new PowerStage(build.linkPerCount_V, TICK_S);
    this.hello = Object.freeze({
      ...boardFacts(build),
      board: 'built-in board, three shunts',
      firmware: 'commissioning-1',
      shunts: 'abc',
      halls: false,
      watch: FACT_WATCH as unknown as Hello['watch'],
    });
    this.boot();
  }

  tick(sense: Sense, drive: Drive): void {
    if ((sense.flags & SENSE_BOOT) !== 0) this.boot();
    const { stage } = this;
    if (this.state === STATE_STARTING) this.start(sense);
    else {
      stage.measure(sense);
      this.guard(triggerTravel(sense.trigger));
      this.go(triggerTravel(sense.trigger));
    }
    if (this.state === STATE_TRIPPED || this.state === STATE_READY) stage.off();
    stage.put(drive);
    this.answer(sense, drive);
  }

  /** Forgets everything. */
  private boot(): void {
    this.stage.reset();
    this.rough.reset();
    this.state = STATE_STARTING;
    this.reason = TRIP_NONE;
  }

  private start(sense: Sense): void {
    this.stage.off();
    const result = this.stage.calibrate(sense);
    if (result === OFFSET_BAD) this.giveUp(REASON_OFFSET);
    else if (result === CALIBRATED) this.state = STATE_WAITING;
  }

  private guard(travel: number): void {
    if (this.state === STATE_TRIPPED || this.state === STATE_READY || this.state === STATE_WAITING) return;
    if (this.stage.largest_A > OVER_SHARE * this.settings.most_A) this.giveUp(REASON_CURRENT);
    else if (travel < LET_GO) this.giveUp(REASON_LET_GO);
  }

  private giveUp(reason: number): void {
    if (this.reason === TRIP_NONE) this.reason = reason;
    this.state = STATE_TRIPPED;
  }

  /** One tick of the procedure that has its turn; the next one begins in the next tick. */
  private go(travel: number): void {
    const { stage, loop, settings, rough, ohm, spin, pulses } = this;
    const { most_A, polePairs } = settings;
    const hold_A = HOLD_SHARE * most_A;
    const { henry } = rough;
    switch (this.state) {
      case STATE_WAITING:
        stage.off();
        if (travel >= PRESSED) this.state = STATE_ROUGH;
        return;
      case STATE_ROUGH:
        if (!this.pass(rough.step(stage, TICK_S, most_A), STATE_ALIGN, rough.trouble)) return;
        this.aligner.reset();
        stage.perHenry = 1 / rough.henry;
        loop.start(rough.henry);
        return;
      case STATE_ALIGN:
        if (this.pass(this.aligner.step(stage, loop, TICK_S, hold_A), STATE_OHM, 0)) ohm.reset(hold_A);
        return;
      case STATE_OHM:
        if (!this.pass(ohm.step(stage, loop, TICK_S, most_A), STATE_SPIN, ohm.trouble)) return;
        stage.deadShare = ohm.deadShare;
        stage.link_ohm = Math.max(0, ohm.link_ohm);
        spin.reset(loop.id);
        return;
      case STATE_SPIN: {
        const result = spin.step(stage, loop, TICK_S, ohm, henry, most_A, polePairs);
        if (!this.pass(result, STATE_SETTLE, spin.trouble)) return;
        this.aligner.reset();
        loop.start(henry);
        this.release_s = -1;
        return;
      }
      case STATE_SETTLE:
        this.settle(hold_A);
        return;
      case STATE_PULSES:
        if (pulses.step(stage, TICK_S, henry, most_A) === FINISHED) this.judge(henry, most_A);
        return;
    }
  }

  /** True when the procedure is over and the next state begins. */
  private pass(result: number, next: number, trouble: number): boolean {
    if (result === REJECTED) this.giveUp(trouble);
    if (result !== FINISHED) return false;
    this.state = next;
    return true;
  }

  /** Aligns, takes the current away slowly, and waits until the rotor rests. */
  private settle(hold_A: number): void {
    const { stage, loop } = this;
    if (this.release_s < 0) {
      if (this.aligner.step(stage, loop, TICK_S, hold_A) === FINISHED) this.release_s = 0;
      return;
    }
    this.release_s += TICK_S;
    const left = 1 - this.release_s / RELEASE_S;
    if (left > 0) loop.step(stage, 0, 0, hold_A * left, 0);
    else stage.off();
    if (this.release_s < RELEASE_S + REST_S) return;
    this.pulses.reset();
    this.state = STATE_PULSES;
  }

  private judge(henry: number, most_A: number): void {
    const { fit, ohm, spin, settings, rotor } = this;
    rotor.r_ohm = ohm.r_ohm;
    rotor.lambda_Wb = spin.lambda_Wb;
    rotor.inertia_kgm2 = spin.inertia_kgm2;
    rotor.polePairs = settings.polePairs;
    if (!fit.run(this.pulses, TICK_S, rotor, henry, most_A) || !(fit.rest_A < MAP_REST_SHARE * most_A)) {
      this.giveUp(REASON_MAP);
    } else if (!(fit.lq_H >= RATIO_LEAST * fit.ld_H && fit.lq_H <= RATIO_MOST * fit.ld_H)) this.giveUp(REASON_RATIO);
    else if (fit.north < -NORTH_SURE) this.giveUp(REASON_NORTH);
    else this.state = STATE_READY;
  }

  private answer(sense: Sense, drive: Drive): void {
    const { ohm, fit, spin, rough } = this;
    drive.tick = sense.tick;
    drive.state = this.state;
    drive.trip = this.reason;
    drive.busy = 0; // in process nothing is measured: the answer would depend on the machine
    const w = drive.watch;
    w[0] = ohm.r_ohm;
    w[1] = ohm.deadShare;
    w[2] = fit.ld_H;
    w[3] = fit.lq_H;
    w[4] = fit.satD2;
    w[5] = fit.satD3;
    w[6] = fit.satQ3;
    w[7] = fit.satCross;
    w[8] = spin.lambda_Wb;
    w[9] = spin.inertia_kgm2;
    w[10] = this.settings.most_A;
    w[11] = ohm.rest_V;
    w[12] = fit.rest_A;
    w[13] = ohm.link_ohm;
    w[14] = fit.tilt_rad;
    w[15] = fit.north;
    w[16] = rough.henry;
  }
}

/** Makes the commissioning firmware. Throws RangeError when a setting is out of range. */
export function commissioning(settings: Partial<CommissionSettings> = {}, build: Build = USUAL_BUILD): Controller {
  return new Commissioner(commissionSettings(settings), checkedBuild(build));
}
