/** A board that shows what it reads, with one error of wiring or scaling each. */
import type { Controller } from '../../src/protocol/controller.ts';
import { SENSE_HALL_SHIFT, type Sense, STATE_READY } from '../../src/protocol/frames.ts';
import type { Hello } from '../../src/protocol/hello.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';

export interface Readings {
  currents_A: [number, number, number];
  link_V: number;
  travel: number;
  angle_rad: number;
}

const HELLO: Hello = {
  ...HELLO_SAMPLE,
  watch: [
    { name: 'current A', unit: 'A', signal: 'currentA' },
    { name: 'current B', unit: 'A', signal: 'currentB' },
    { name: 'current C', unit: 'A', signal: 'currentC' },
    { name: 'link', unit: 'V', signal: 'link' },
    { name: 'trigger', unit: '%', signal: 'sensedTrigger' },
    { name: 'angle', unit: 'deg', signal: 'rotorAngle' },
    { name: 'noise', unit: '' },
  ],
};

/** Sector middle of a Hall code, by hand from the table of the frames: A alone is 0, A and B 60, B 120, B and C 180 ... */
const ANGLE_DEG = [Number.NaN, 0, 120, 60, 240, 300, 180, Number.NaN];

function read(sense: Sense): Readings {
  const amps = (counts: number) => (counts - 2048) * 0.0805664;
  const code = (sense.flags >> SENSE_HALL_SHIFT) & 7;
  return {
    currents_A: [amps(sense.ia), amps(sense.ib), amps(sense.ic)],
    link_V: sense.link * 0.0088623,
    travel: (sense.trigger - 410) / (3686 - 410),
    angle_rad: (ANGLE_DEG[code] * Math.PI) / 180,
  };
}

/** The board; `error` spoils what it reads. */
export function readingBoard(error: (readings: Readings) => void = () => undefined, hello = HELLO): Controller {
  return {
    hello,
    tick(sense, drive) {
      const readings = read(sense);
      error(readings);
      Object.assign(drive, { tick: sense.tick, gates: 0, state: STATE_READY, trip: 0, dutyA: 0, dutyB: 0, dutyC: 0 });
      const { currents_A, link_V, travel, angle_rad } = readings;
      drive.watch.set([...currents_A, link_V, 100 * travel, (angle_rad * 180) / Math.PI, 0.5]);
    },
  };
}
