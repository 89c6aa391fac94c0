/** The sensorless controller on the bench drill, turning freely, with a hand between the converters and the firmware. */
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { DUTY_FULL, type Sense, STATE_TRIPPED, TRIP_CURRENT, TRIP_SENSOR } from '../../src/protocol/frames.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';

/** A press of half the travel within 20 ms [travel a tick]. */
const PRESS = 0.5 / 400;

export class SensorlessProbe {
  readonly plant = new Plant(BENCH_18, { seed: 9, h_s: 1e-6, rotorAngle_rad: 2 });
  readonly sense = blankSense();
  readonly tripped = STATE_TRIPPED;
  readonly sensor = TRIP_SENSOR;
  readonly current = TRIP_CURRENT;
  /** What happens to the counts on their way. */ alter: (sense: Sense) => void = () => {};
  private readonly board = boardFor(BENCH_18);
  private readonly controller = builtInFor('sensorless', BENCH_18, this.board);
  readonly drive = blankDrive(this.controller.hello.watch.length);
  private readonly sensors = new Sensors(this.board);
  private up = false;

  run(ticks: number): void {
    const { plant, sense, drive } = this;
    for (let k = 0; k < ticks; k++) {
      plant.hands.set('trigger', Math.min(0.5, plant.hands.get('trigger') + PRESS));
      if (plant.powered) {
        this.sensors.sample(plant, sense, !this.up);
        this.up = true;
        this.alter(sense);
        this.controller.tick(sense, drive);
        plant.command(drive.gates, drive.dutyA / DUTY_FULL, drive.dutyB / DUTY_FULL, drive.dutyC / DUTY_FULL);
      }
      plant.runPeriod();
    }
  }
}
