/** The controller on the real plant, joined by frames as a board would be. */
import { hallSixStep } from '../../src/control/six-step.ts';
import { Plant } from '../../src/plant/plant.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { DUTY_FULL, type Sense } from '../../src/protocol/frames.ts';
import type { Hello } from '../../src/protocol/hello.ts';
import { BENCH_BOARD } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';

/** A quick finger: the whole travel takes this long [s]. */
const PULL_S = 0.02;

export class PlantRig {
  readonly plant: Plant;
  readonly sense = blankSense();
  readonly drive;
  /** Largest phase current seen so far, truth at the ends of the periods [A]. */ peak_A = 0;
  /** 1 once any trip was reported. */ tripped = 0;
  /** Highest link voltage seen so far [V]. */ link_V = 0;
  /** What a broken board makes of the readings before the controller sees them. */
  spoil: (sense: Sense) => void = () => {};
  private target = -1;
  private readonly sensors = new Sensors(BENCH_BOARD);
  private readonly controller = hallSixStep();
  private powered = false;

  constructor(rotorAngle_rad = 0, seed = 1) {
    this.plant = new Plant(PRESETS['bench-18'], { seed, h_s: 1e-6, rotorAngle_rad });
    this.drive = blankDrive(this.controller.hello.watch.length);
  }

  get controllerHello(): Hello {
    return this.controller.hello;
  }

  /** Moves the trigger to a travel as a quick finger does, from the next tick on. */
  pull(travel: number): void {
    this.target = travel;
  }

  tick(): void {
    const { plant, sense, drive } = this;
    this.moveFinger();
    if (plant.powered) {
      this.sensors.sample(plant, sense, !this.powered);
      this.spoil(sense);
      this.controller.tick(sense, drive);
      plant.command(drive.gates, drive.dutyA / DUTY_FULL, drive.dutyB / DUTY_FULL, drive.dutyC / DUTY_FULL);
      if (drive.trip !== 0) this.tripped = 1;
    } else {
      plant.command(0, 0, 0, 0);
    }
    this.powered = plant.powered;
    plant.runPeriod();
    this.peak_A = Math.max(this.peak_A, this.largest_A());
    this.link_V = Math.max(this.link_V, plant.read('link'));
  }

  private moveFinger(): void {
    if (this.target < 0) return;
    const { hands, period_s } = this.plant;
    const away = this.target - hands.get('trigger');
    const step = period_s / PULL_S;
    hands.set('trigger', Math.abs(away) <= step ? this.target : hands.get('trigger') + Math.sign(away) * step);
    if (Math.abs(away) <= step) this.target = -1;
  }

  /** Largest of the three phase currents now, truth [A]. */
  largest_A(): number {
    const a = this.plant.read('iAlpha');
    const b = this.plant.read('iBeta') * Math.sqrt(0.75);
    return Math.max(Math.abs(a), Math.abs(0.5 * a - b), Math.abs(0.5 * a + b));
  }

  /** Runs for span_s and returns the means over it. */
  run(span_s: number): { rotor_rad_s: number; chuck_rad_s: number; largest_A: number } {
    const n = Math.round(span_s / this.plant.period_s);
    const sum = { rotor_rad_s: 0, chuck_rad_s: 0, largest_A: 0 };
    for (let k = 0; k < n; k++) {
      this.tick();
      sum.rotor_rad_s += this.plant.read('rotorSpeed') / n;
      sum.chuck_rad_s += this.plant.read('chuckSpeed') / n;
      sum.largest_A += this.largest_A() / n;
    }
    return sum;
  }
}
