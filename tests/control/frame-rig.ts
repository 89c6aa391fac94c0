/**
 * Feeds a controller frames of a rotor that turns as the test says, whatever the controller answers: open loop, no
 * plant. Halls and edge times follow from the angle in closed form.
 */
import { hallSixStep } from '../../src/control/six-step.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { HALL_AGE_COUNT_S, HALL_AGE_MOST, SENSE_BOOT, SENSE_HALL_SHIFT, SENSE_IN } from '../../src/protocol/frames.ts';

export const TICK_S = 50e-6;
const SECTOR = Math.PI / 3;

/** Hall code A + 2 B + 4 C at an electrical angle: Hall x is 1 while cos(angle - x 120 deg) > 0. */
export function hallCode(angle_rad: number): number {
  let code = 0;
  for (let k = 0; k < 3; k++) if (Math.cos(angle_rad - (k * 2 * Math.PI) / 3) > 0) code |= 1 << k;
  return code;
}

export class FrameRig {
  readonly sense = blankSense();
  readonly controller: Controller;
  readonly drive;
  /** Electrical angle at the sampling instant [rad]. */ angle_rad = 0;
  /** Electrical speed [rad/s]. */ speed_rad_s = 0;
  /** Hall code to send instead of the true one; -1 for the true one. */ forcedCode = -1;
  flags = SENSE_IN;

  constructor(controller: Controller = hallSixStep()) {
    this.controller = controller;
    this.drive = blankDrive(controller.hello.watch.length);
    // Currents at zero, 18 V, trigger released; a thermistor at 25 °C has the resistance of its pull-up.
    Object.assign(this.sense, { ia: 2048, ib: 2048, ic: 2048, link: 2031, trigger: 410 });
    Object.assign(this.sense, { heatBridge: 2048, heatMotor: 2048 });
  }

  /** Sends one frame and returns the answer. */
  tick(boot = false) {
    const { sense, speed_rad_s: w } = this;
    const code = this.forcedCode >= 0 ? this.forcedCode : hallCode(this.angle_rad);
    sense.flags = this.flags | (code << SENSE_HALL_SHIFT) | (boot ? SENSE_BOOT : 0);
    // Edges lie at 30 + 60 k degrees; the angle since the last one depends on the sense of rotation.
    const inSector = (((this.angle_rad + SECTOR / 2) % SECTOR) + SECTOR) % SECTOR;
    const since_rad = w >= 0 ? inSector : SECTOR - inSector;
    const age = w === 0 ? HALL_AGE_MOST : since_rad / Math.abs(w) / HALL_AGE_COUNT_S;
    sense.hallAge = Math.min(HALL_AGE_MOST, Math.floor(age));
    this.controller.tick(sense, this.drive);
    sense.tick = (sense.tick + 1) >>> 0;
    this.angle_rad += w * TICK_S;
    return this.drive;
  }

  /** Boots and lets the offsets be measured; the controller is ready afterwards. */
  boot(): void {
    this.tick(true);
    for (let k = 0; k < 130; k++) this.tick();
  }

  run(ticks: number): void {
    for (let k = 0; k < ticks; k++) this.tick();
  }

  /** Trigger travel 0 to 1. */
  pull(travel: number): void {
    this.sense.trigger = Math.round(410 + travel * 3276);
  }
}
