/**
 * Hall six-step controller: drives a motor from frames alone, as firmware on a board would.
 *
 * Method  the Hall code, led by the time until the command acts, selects two legs. The high leg chops complementary
 *         with duty d, the low leg keeps its low switch on all period, the third leg is open. The trigger sets a speed;
 *         a speed loop asks for a current; a current loop on the pair of legs, with the EMF fed forward, sets d.
 * Window  the low-side switch of the high leg must be on long enough for its shunt to be read, so d <= 1 - 3 us / T.
 * Timing  one tick per PWM period; the sample is the current at the start of the period, the command acts a period later.
 * Release coasts while fast, shorts the winding while slow (guard/release-brake.ts); a reversal waits until it is slow.
 * Source  common practice, from memory; sector table and delays are derived in hall-sector.ts and commutation.ts, gains
 *         follow from the winding where stated below, the others were tuned on the virtual drill.
 *
 * Arithmetic is plain enough for float32: a C twin follows it line by line.
 */
import type { Controller } from '../protocol/controller.ts';
import {
  type Drive,
  DUTY_FULL,
  GATE_A,
  GATE_ALL,
  HALL_AGE_COUNT_S,
  SENSE_BOOT,
  SENSE_HALL_SHIFT,
  SENSE_IN,
  SENSE_OUT,
  type Sense,
  STATE_BRAKING,
  STATE_COASTING,
  STATE_READY,
  STATE_RUNNING,
  STATE_STALLED,
  STATE_STARTING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_HALL,
  TRIP_SENSOR,
} from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import { wrapTurn } from '../units/elementary.ts';
import { driveSector } from './commutation.ts';
import { CALIBRATED, CurrentSense, OFFSET_BAD } from './current-sense.ts';
import { ReleaseBrake, SHORT_SHARE } from './guard/release-brake.ts';
import { Stall } from './guard/stall.ts';
import { HallGuard } from './hall-guard.ts';
import { HIGH_LEG, LOW_LEG } from './hall-sector.ts';
import { HallSpeed, SECTOR_RAD, STILL_S } from './hall-speed.ts';
import { BLOCK_ALL, BLOCK_NONE, BLOCK_RISE, PiLoop } from './pi-loop.ts';
import { Protection } from './protection.ts';
import {
  type Build,
  boardFacts,
  checkedBuild,
  MOTOR,
  type SixStepSettings,
  sixStepSettings,
  TICK_S,
  USUAL_BUILD,
} from './settings.ts';
import { STATE_LOCKED } from './tables.ts';
import { triggerShare } from './trigger.ts';

/** Name of the firmware build, as its Hello states it. */
export const FIRMWARE = 'six-step-1';

/** Largest duty: 3 us of low side remain for dead time, settling and sampling. */
export const DUTY_MOST = 1 - 3e-6 / TICK_S;
/** Slower than this the motor may be turned the other way [rad/s]. */
const REVERSE_BELOW_RAD_S = 60;
/** Share of the current limit after a code that is no neighbor of the last one. */
const DOUBTFUL_SHARE = 0.5;

/** Fifth of the dead-beat gain 2 L / T: 0.108 V/A. */
const CURRENT_KP = (0.2 * MOTOR.l_H) / TICK_S;
/** Three times R / L faster than the pole of the winding: what the fed-forward EMF misses ramps quickly. */
const CURRENT_KI = (3 * CURRENT_KP * MOTOR.r_ohm) / MOTOR.l_H;
/** Speed loop, tuned on the virtual drill: about 200 rad/s with the bare rotor. */
const SPEED_KP = 0.09;
const SPEED_KI = 0.6;
/** A current above this share of the limit opens the legs for a period: a rotor thrown back drives it at no duty. */
const CHOP_SHARE = 1.4;
/** Commands alike after which the leg that was opened carries no current any more, unseen, through its high diode. */
const ALIKE_TICKS = 3;
/** For these ticks the samples show the open legs, not what the loop asked for. */
const CHOP_ECHO_TICKS = 4;

export const HELLO: Hello = Object.freeze({
  ...boardFacts(USUAL_BUILD),
  board: 'built-in board, three shunts and three Halls',
  firmware: FIRMWARE,
  shunts: 'abc',
  halls: true,
  watch: Object.freeze([
    Object.freeze({ name: 'motor speed', unit: 'rad/s', signal: 'motorSpeed' }),
    Object.freeze({ name: 'motor current', unit: 'A' }),
    Object.freeze({ name: 'sector', unit: '' }),
    Object.freeze({ name: 'sector angle', unit: 'rad', signal: 'rotorAngle' }),
    Object.freeze({ name: 'current limit', unit: 'A' }),
    Object.freeze({ name: 'bridge heat', unit: 'K' }),
    Object.freeze({ name: 'motor heat', unit: 'K', signal: 'windingHeat' }),
  ]) as unknown as Hello['watch'],
});

class SixStep implements Controller {
  readonly hello: Hello;
  private readonly settings: SixStepSettings;
  private readonly full_rad_s: number;
  private readonly advance_rad: number;
  private readonly sensed = new CurrentSense();
  private readonly hall = new HallSpeed();
  private readonly guard = new HallGuard();
  private readonly protection: Protection;
  private readonly stall: Stall;
  private readonly brake: ReleaseBrake;
  private readonly speedLoop = new PiLoop(SPEED_KP, SPEED_KI, TICK_S);
  private readonly currentLoop = new PiLoop(CURRENT_KP, CURRENT_KI, TICK_S);
  private state = STATE_STARTING;
  private asked = 0;
  /** Direction being driven: 1 In, -1 Out, 0 none. */ private side = 0;
  /** Pair of legs of the last command; -1 when the legs were open. */ private high = -1;
  private low = -1;
  /** Ticks since a command opened the legs for one period, up to CHOP_ECHO_TICKS. */
  private sinceChop = CHOP_ECHO_TICKS;
  /** Gates of the last command, and commands in a row that had them. */
  private gates = 0;
  private alike = 0;
  private limit_A = 0;
  private current_A = 0;
  private duty = 0;
  private voltageLimited = BLOCK_NONE;

  constructor(settings: SixStepSettings, build: Build) {
    this.settings = settings;
    this.hello = Object.freeze({ ...HELLO, linkPerCount_V: build.linkPerCount_V });
    this.protection = new Protection(build, HELLO.shunts, settings.overCurrent_A);
    this.stall = new Stall(settings.topSpeed_rad_s, settings.stallTime_s);
    this.brake = new ReleaseBrake(build.cells);
    this.full_rad_s = settings.topSpeed_rad_s * MOTOR.polePairs;
    this.advance_rad = (settings.advance_deg * Math.PI) / 180; // once: at construction
    this.boot();
  }

  tick(sense: Sense, drive: Drive): void {
    if ((sense.flags & SENSE_BOOT) !== 0) this.boot();
    const { protection, hall, guard } = this;
    protection.see(sense);
    const { elapsed_s } = protection.clock;
    const code = (sense.flags >> SENSE_HALL_SHIFT) & 7;
    hall.update(code, sense.hallAge * HALL_AGE_COUNT_S, elapsed_s);
    guard.update(code, elapsed_s);
    if (guard.latch === 1) protection.trip(TRIP_HALL);
    if (guard.off === 1) protection.wait(TRIP_HALL);

    const share = triggerShare(protection.travel, this.asked);
    this.asked = share > 0 ? 1 : 0;
    const asks = (sense.flags & SENSE_IN) !== 0 ? 1 : (sense.flags & SENSE_OUT) !== 0 ? -1 : 0;
    this.measure(sense);
    this.choose(asks, elapsed_s);
    this.limit_A =
      protection.share * (this.stall.holding === 1 ? this.settings.holdCurrent_A : this.settings.currentLimit_A);
    if (this.state === STATE_RUNNING || this.state === STATE_STALLED)
      this.regulate(share, protection.link.volts_V, elapsed_s);
    else this.open();
    this.answer(sense, drive);
  }

  /** Forgets everything. */
  private boot(): void {
    this.sensed.reset();
    this.hall.reset();
    this.guard.reset();
    this.protection.reset();
    this.state = STATE_STARTING;
    this.asked = 0;
    this.side = 0;
    this.gates = 0;
    this.alike = 0;
    this.limit_A = this.settings.currentLimit_A;
    this.brake.reset();
    this.open();
  }

  private measure(sense: Sense): void {
    const { protection, sensed } = this;
    if (protection.usable === 1 && this.state === STATE_STARTING) {
      const result = sensed.calibrate(sense);
      if (result === CALIBRATED) this.state = STATE_READY;
      if (result === OFFSET_BAD) protection.trip(TRIP_SENSOR);
    } else if (protection.usable === 1) {
      sensed.measure(sense);
    }
    const seen = this.gates !== 0 && this.alike >= ALIKE_TICKS ? 1 : 0;
    protection.judge(sensed, seen, this.asked);
    this.current_A = this.high < 0 ? 0 : sensed.pair_A(this.high, this.low);
  }

  /** Next state. @param asks direction of the switch: 1 In, -1 Out, 0 locked */
  private choose(asks: number, elapsed_s: number): void {
    const { protection, brake } = this;
    if (protection.tripped !== 0) this.state = STATE_TRIPPED;
    else if (this.state === STATE_STARTING) return;
    else if (protection.waiting !== 0) this.state = STATE_WAITING;
    else if (protection.lock.locked === 1) this.state = STATE_LOCKED;
    else if (this.asked === 0 || asks === 0 || this.hall.sector < 0) {
      const { since_s } = this.hall;
      // Slow for certain: no edge for as long as a sector takes. The estimate is 0 when an edge was missed.
      const slow = since_s * SHORT_SHARE * this.full_rad_s > SECTOR_RAD ? 1 : 0;
      brake.update(slow, since_s >= STILL_S ? 1 : 0, protection.link.volts_V, elapsed_s);
      this.state = brake.shorted === 1 ? STATE_BRAKING : STATE_READY;
    } else if (protection.clock.missed === 1) this.state = STATE_WAITING;
    else if (this.side !== asks && this.tooFastFor(asks)) {
      this.state = STATE_COASTING;
    } else {
      this.side = asks;
      brake.drive();
      this.state = this.stall.holding === 1 ? STATE_STALLED : STATE_RUNNING;
    }
  }

  /** The rotor turns the other way too fast to be driven in `asks`, or may: a speed lost to a missed edge is not standstill. */
  private tooFastFor(asks: number): boolean {
    const { doubtful, since_s, speed_rad_s } = this.hall;
    if (doubtful === 1 && since_s < STILL_S) return true;
    return speed_rad_s * asks < -REVERSE_BELOW_RAD_S * MOTOR.polePairs;
  }

  /** Speed loop, current loop, commutation. */
  private regulate(share: number, link_V: number, elapsed_s: number): void {
    const { settings: s, hall, side, limit_A: cool_A } = this;
    const electrical_rad_s = hall.speed_rad_s * side;
    const speed_rad_s = electrical_rad_s / MOTOR.polePairs;
    const limit_A = hall.doubtful === 1 ? DOUBTFUL_SHARE * cool_A : cool_A;
    const target_rad_s = share * s.topSpeed_rad_s;
    const wanted_A = this.speedLoop.step(target_rad_s - speed_rad_s, 0, 0, limit_A, this.voltageLimited);
    this.stall.update(speed_rad_s, wanted_A, limit_A, elapsed_s);
    this.limit_A = limit_A;

    const most_V = DUTY_MOST * link_V;
    const emf_V = electrical_rad_s * MOTOR.emf_Vs;
    const held = this.sinceChop < CHOP_ECHO_TICKS ? BLOCK_ALL : BLOCK_NONE;
    const wanted_V = this.currentLoop.step(wanted_A - this.current_A, emf_V, -most_V, most_V, held);
    this.voltageLimited = wanted_V >= most_V ? BLOCK_RISE : BLOCK_NONE;
    this.duty = link_V > 1 ? wanted_V / link_V : 0;

    const sector = driveSector(hall, side, this.full_rad_s, this.advance_rad);
    this.high = side > 0 ? HIGH_LEG[sector] : LOW_LEG[sector];
    this.low = side > 0 ? LOW_LEG[sector] : HIGH_LEG[sector];
    if (this.sensed.largest_A > CHOP_SHARE * s.currentLimit_A) this.sinceChop = 0;
    else if (this.sinceChop < CHOP_ECHO_TICKS) this.sinceChop += 1;
  }

  /** All legs open; the loops start from nothing next time. */
  private open(): void {
    this.high = -1;
    this.low = -1;
    this.sinceChop = CHOP_ECHO_TICKS;
    this.duty = 0;
    this.current_A = 0;
    this.voltageLimited = BLOCK_NONE;
    this.speedLoop.reset();
    this.currentLoop.reset();
    this.stall.reset();
    if (this.state !== STATE_COASTING && this.state !== STATE_WAITING) this.side = 0;
  }

  private answer(sense: Sense, drive: Drive): void {
    const { protection, hall } = this;
    const driven = this.high >= 0 && this.sinceChop > 0;
    const braking = this.state === STATE_BRAKING;
    // Below zero the other leg chops: the rotor is being thrown back and feeds the link.
    const chops = this.duty < 0 ? this.low : this.high;
    const duty = Math.round(Math.abs(this.duty) * DUTY_FULL);
    drive.tick = sense.tick;
    drive.gates = braking ? GATE_ALL : driven ? (GATE_A << this.high) | (GATE_A << this.low) : 0;
    drive.state = this.state;
    drive.trip = protection.tripped !== 0 ? protection.tripped : protection.waiting;
    drive.dutyA = chops === 0 ? duty : 0;
    drive.dutyB = chops === 1 ? duty : 0;
    drive.dutyC = chops === 2 ? duty : 0;
    drive.busy = 0; // in process nothing is measured: the answer would depend on the machine
    drive.watch[0] = hall.speed_rad_s / MOTOR.polePairs;
    drive.watch[1] = this.current_A;
    drive.watch[2] = hall.sector;
    drive.watch[3] = sectorAngle(hall);
    drive.watch[4] = this.limit_A;
    drive.watch[5] = protection.bridge.heat_K;
    drive.watch[6] = protection.motor.heat_K;
    this.alike = drive.gates === this.gates ? this.alike + 1 : 1;
    this.gates = drive.gates;
  }
}

/** Electrical angle, 0 to 2 pi: the edge of the sector and what was turned since, or its middle at standstill. */
function sectorAngle(hall: HallSpeed): number {
  const turned = Math.min(Math.abs(hall.mean_rad_s) * hall.since_s, SECTOR_RAD);
  const beyond = hall.mean_rad_s === 0 ? 0 : hall.sense * (turned - 0.5 * SECTOR_RAD);
  return hall.sector < 0 ? 0 : wrapTurn(SECTOR_RAD * hall.sector + beyond);
}

/** Makes a Hall six-step controller. Throws RangeError when a setting is out of range. */
export function hallSixStep(settings: Partial<SixStepSettings> = {}, build: Build = USUAL_BUILD): Controller {
  return new SixStep(sixStepSettings(settings), checkedBuild(build));
}
