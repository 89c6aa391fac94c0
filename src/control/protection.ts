/**
 * Decides whether the legs may be driven, and with how much current. Shared by the controllers; what only one of them can
 * know, a Hall code or a lost angle, it adds by trip() and wait().
 *
 * Order of a tick   see() looks at the frame; measure currents while `usable`; judge() looks at the currents.
 * Latched until the next boot   three over-currents in 10 ms, link too high, a channel that reads what cannot be for as long
 *         as its file says, an impossible offset, too hot.
 * While it lasts    the tick of an over-current or of a reading that cannot be, the tick after a gap, a low link. A low link
 *         counts only while the trigger asks for torque, because the link always runs down after the contact has opened.
 * Source  limits are common practice, from memory; the applicable product standard decides in a real tool.
 */
import {
  type Sense,
  TRIP_CURRENT,
  TRIP_HEAT,
  TRIP_LINK_HIGH,
  TRIP_LINK_LOW,
  TRIP_NONE,
  TRIP_SENSOR,
} from '../protocol/frames.ts';
import type { CurrentSense } from './current-sense.ts';
import { CurrentCheck } from './guard/current-check.ts';
import { Heat } from './guard/heat.ts';
import { LinkGuard } from './guard/link.ts';
import { OverCurrent } from './guard/over-current.ts';
import { RAIL_MARGIN_COUNTS, Rails } from './guard/rails.ts';
import { RestartLock } from './guard/restart-lock.ts';
import { ThermistorTable } from './guard/thermistor-table.ts';
import { TickClock } from './guard/tick-clock.ts';
import { BOARD, type Build, HEAT_LIMITS } from './settings.ts';
import { triggerTravel } from './trigger.ts';

/** Ticks in a row of a trigger reading at an end of the converter that latch; it asks for nothing from the first one on. */
export const TRIGGER_RAILED_TICKS = 3;

export class Protection {
  /** Latched trip reason, TRIP_NONE while there is none. */ tripped = TRIP_NONE;
  /** Reason that keeps the legs open for now, TRIP_NONE while there is none. */ waiting = TRIP_NONE;
  /** 1 while the current counts of this tick may be used. */ usable = 1;
  /** Share of the current limit that heat leaves, 0 to 1. */ share = 1;
  /** Trigger travel that may be acted on, 0 to 1: 0 while locked or unreadable. */ travel = 0;
  readonly clock = new TickClock();
  readonly link: LinkGuard;
  readonly bridge: Heat;
  readonly motor: Heat;
  readonly lock = new RestartLock();
  private readonly over_A: number;
  private readonly check: CurrentCheck;
  private readonly over = new OverCurrent();
  private readonly trigger: Rails;

  /** @param shunts legs that have one @param over_A sampled current that opens the legs */
  constructor(build: Build, shunts: string, over_A: number) {
    const table = new ThermistorTable();
    const { bridgeDerate_K, bridgeStop_K, motorDerate_K, motorStop_K } = HEAT_LIMITS;
    const top = BOARD.range_counts - 1;
    this.over_A = over_A;
    this.link = new LinkGuard(build.cells, build.linkPerCount_V);
    this.bridge = new Heat(table, bridgeDerate_K, bridgeStop_K);
    this.motor = new Heat(table, motorDerate_K, motorStop_K);
    this.check = new CurrentCheck(shunts);
    this.trigger = new Rails(RAIL_MARGIN_COUNTS, top - RAIL_MARGIN_COUNTS, TRIGGER_RAILED_TICKS);
  }

  /** A boot. */
  reset(): void {
    this.tripped = TRIP_NONE;
    this.waiting = TRIP_NONE;
    this.usable = 1;
    this.share = 1;
    this.travel = 0;
    this.clock.reset();
    this.link.reset();
    this.bridge.reset();
    this.motor.reset();
    this.lock.reset();
    this.check.reset();
    this.over.reset();
    this.trigger.reset();
  }

  /** Latches a reason; the first one stays. */
  trip(reason: number): void {
    if (this.tripped === TRIP_NONE) this.tripped = reason;
  }

  /** Keeps the legs open for this tick; the first reason stays. */
  wait(reason: number): void {
    if (this.waiting === TRIP_NONE) this.waiting = reason;
  }

  /** First part of a tick: the frame. */
  see(sense: Sense): void {
    const { link, check, trigger, bridge, motor, lock } = this;
    this.waiting = TRIP_NONE;
    this.clock.update(sense.tick);
    check.look(sense);
    link.update(sense.link);
    trigger.update(sense.trigger);
    bridge.update(sense.heatBridge);
    motor.update(sense.heatMotor);
    this.usable = 1 - check.bad;
    this.share = Math.min(bridge.share, motor.share);
    if (trigger.bad === 0) lock.update(triggerTravel(sense.trigger));
    this.travel = trigger.bad === 1 || lock.locked === 1 ? 0 : triggerTravel(sense.trigger);
    const latched = check.latch + link.rails.latch + trigger.latch + bridge.fault + motor.fault;
    if (latched > 0) this.trip(TRIP_SENSOR);
    if (check.bad + link.rails.bad + trigger.bad > 0) this.wait(TRIP_SENSOR);
    if (link.high === 1) this.trip(TRIP_LINK_HIGH);
    if (bridge.hot + motor.hot > 0) this.trip(TRIP_HEAT);
  }

  /**
   * Second part: the currents, and what follows from all. A railed channel counts as an over-current too.
   *
   * @param seen  1 when every shunt shows the current of its leg in this sample
   * @param asked 1 while the trigger asks for torque
   */
  judge(sensed: CurrentSense, seen: number, asked: number): void {
    const { check, over, link } = this;
    check.compare(sensed.zero_counts, seen);
    if (check.latch === 1) this.trip(TRIP_SENSOR);
    over.update(check.bad === 1 || sensed.largest_A > this.over_A ? 1 : 0, this.clock.elapsed_s);
    if (over.latch === 1) this.trip(TRIP_CURRENT);
    if (over.hit === 1) this.wait(TRIP_CURRENT);
    if (link.low === 1 && asked === 1) this.wait(TRIP_LINK_LOW);
  }
}
