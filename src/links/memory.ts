/** A link within the process: the same bytes as on a wire, without one. Shows that a controller needs only frames. */
import type { Controller } from '../protocol/controller.ts';
import type { LockStepLink } from './link.ts';
import { ServedController } from './served.ts';
import { openSession } from './session.ts';
import type { Ear, Wire } from './wire.ts';

/** Ties a controller to a link. Rejects with LinkLostError when its Hello breaks the schema. */
export function openMemoryLink(controller: Controller): Promise<LockStepLink> {
  return openSession(memoryWire(controller));
}

/** A wire with a controller at its other end. */
export function memoryWire(controller: Controller): Wire {
  let ear: Ear;
  const board = new ServedController(controller, (bytes) => ear.take(bytes));
  return {
    name: controller.hello.board,
    attach(to) {
      ear = to;
    },
    send(bytes) {
      try {
        board.receiver.push(bytes);
      } catch (error) {
        ear.lose('exited', `the controller threw ${ear.progress}: ${(error as Error).message}`);
      }
    },
    async close() {},
  };
}
