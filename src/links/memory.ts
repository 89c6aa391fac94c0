/** A link within the process: the same bytes as on a wire, without one. Shows that a controller needs only frames. */
import type { Controller } from '../protocol/controller.ts';
import type { LockStepLink } from './link.ts';
import { ServedController } from './served.ts';
import { Session } from './session.ts';

/** Ties a controller to a link. Rejects with LinkLostError when its Hello breaks the schema. */
export async function openMemoryLink(controller: Controller): Promise<LockStepLink> {
  const session: Session = new Session({
    name: controller.hello.board,
    send(bytes) {
      try {
        board.receiver.push(bytes);
      } catch (error) {
        session.lose('exited', `the controller threw ${session.progress}: ${(error as Error).message}`);
      }
    },
  });
  const board = new ServedController(controller, session.take);
  const hello = await session.open();
  return {
    hello,
    counters: session.counters,
    exchange: (sense, drive) => session.exchange(sense, drive),
    async close() {
      session.end();
    },
  };
}
