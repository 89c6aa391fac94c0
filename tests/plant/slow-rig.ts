/** The slow plant with a motor model behind it, interval by interval and without frames: nothing is rounded to float32. */

import type { DrillParams } from '../../src/plant/params.ts';
import type { SlotName } from '../../src/plant/slots.ts';
import { slot } from '../../src/plant/slots.ts';
import { SlowPlant } from '../../src/plant/slow.ts';
import { blankReport, blankScene } from '../../src/protocol/codec.ts';
import { SCENE_IN, SCENE_OUT, SCENE_POWER } from '../../src/protocol/frames.ts';
import { AveragedMotor, type PacedMotorSettings } from '../support/paced-motor.ts';
import { drillWith, type Overrides } from '../support/rigs.ts';

/** A motor of constant torque: its current stays at the limit, nothing rubs, and it never runs out of voltage. */
export const constantTorque = (torque_Nm: number): Partial<PacedMotorSettings> => ({
  k_Nm_A: 1e-3,
  r_ohm: 1e-9,
  limit_A: torque_Nm / 1e-3,
  kp_A_s_rad: 1e9,
  ki_A_rad: 0,
  friction_Nm: 0,
  viscous_Nms: 0,
  full_rad_s: 1e6,
});

/** Teeth without loss. */
export const LOSSLESS_GEAR: Overrides = { gear: { basicEfficiency: [1, 1, 1] } };

export class SlowRig {
  readonly plant: SlowPlant;
  readonly motor: AveragedMotor;
  readonly scene = blankScene();
  readonly report = blankReport(1);
  /** Pull of the trigger on the board, beside that of the drill: the board is fed from the start. */
  private readonly seen: ((rig: SlowRig) => void)[] = [];

  constructor(rate_Hz: number, overrides: Overrides | DrillParams = {}, motor: Partial<PacedMotorSettings> = {}) {
    const drill = 'name' in overrides ? (overrides as DrillParams) : drillWith(overrides as Overrides);
    this.plant = new SlowPlant(drill, { rate_Hz, seed: 1 });
    this.motor = new AveragedMotor(motor);
  }

  /** Calls back after each interval. */
  watch(see: (rig: SlowRig) => void): this {
    this.seen.push(see);
    return this;
  }

  /** Trigger fully pulled and the supply up, nothing turns. */
  press(): this {
    this.plant.hands.set('trigger', 1);
    this.plant.begin();
    this.plant.end({ turned_rad: 0, speed_rad_s: 0, torque_Nm: 0, drawn_A: 0, loss_W: 0 });
    return this;
  }

  put(name: SlotName, value: number): this {
    this.plant.state[slot(name)] = value;
    return this;
  }

  run(intervals: number): this {
    for (let k = 0; k < intervals; k++) this.interval();
    return this;
  }

  private interval(): void {
    const { plant, motor, scene, report } = this;
    plant.begin();
    const { around } = plant;
    const direction = plant.hands.get('direction');
    scene.levels = (around.powered ? SCENE_POWER : 0) | (direction > 0 ? SCENE_IN : direction < 0 ? SCENE_OUT : 0);
    scene.trigger = 410 + 3276 * plant.hands.get('trigger');
    scene.open = around.open_V;
    scene.source = around.source_ohm;
    scene.hold = around.hold_Nm;
    scene.push = around.push_Nm;
    scene.inertia = around.inertia_kgm2;
    const from = motor.angle_rad;
    motor.run(scene, plant.period_s, report);
    plant.end({
      turned_rad: motor.angle_rad - from,
      speed_rad_s: motor.speed_rad_s,
      torque_Nm: report.torque,
      drawn_A: report.drawn,
      loss_W: report.loss,
    });
    for (const see of this.seen) see(this);
  }
}
