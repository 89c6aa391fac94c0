import type { Controller } from '../../src/protocol/controller.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';

/** A controller whose answers show which Sense they belong to: each duty is the reading of its shunt. */
export function echoController(): Controller {
  return {
    hello: HELLO_SAMPLE,
    tick(sense, drive) {
      drive.tick = sense.tick;
      drive.gates = sense.flags & 7;
      drive.state = 1;
      drive.trip = 0;
      drive.dutyA = sense.ia;
      drive.dutyB = sense.ib;
      drive.dutyC = sense.ic;
      drive.busy = 0;
      drive.watch[0] = sense.link;
    },
  };
}
