/** Boards on a wire in memory: a sound one, and the same with one defect each. */
import { hallSixStep } from '../../src/control/six-step.ts';
import { ServedController } from '../../src/links/served.ts';
import type { Ear, Wire } from '../../src/links/wire.ts';
import { blankDrive } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import type { Drive, Sense } from '../../src/protocol/frames.ts';

/** What a board hears and how it speaks. */
export interface Board {
  take(bytes: Uint8Array): void;
}
export type Say = (bytes: Uint8Array) => void;

/** A wire with a board behind it that is made anew each time the wire is opened. What the board throws ends the wire. */
export function wireTo(make: (say: Say) => Board, name = 'memory', messages = false): () => Promise<Wire> {
  return async () => {
    let ear: Ear;
    let ended = false;
    let board: Board;
    return {
      name,
      messages,
      attach(to) {
        ear = to;
        board = make((bytes) => {
          if (!ended) ear.take(bytes.slice());
        });
      },
      send(bytes) {
        if (ended) return;
        try {
          board.take(bytes.slice());
        } catch (error) {
          ended = true;
          ear.lose('exited', `the board stopped: ${(error as Error).message}`);
        }
      },
      async close() {
        ended = true;
      },
    };
  };
}

/** The sound controller of these tests: built-in, with Halls and a speed among its watch values. */
export const sound = (): Controller => hallSixStep();

/** A controller around the sound one that may change what goes in and what comes out. */
export function around(change: (sense: Sense, drive: Drive, inner: () => void) => void): Controller {
  const inner = sound();
  return {
    hello: inner.hello,
    tick: (sense, drive) => change(sense, drive, () => inner.tick(sense, drive)),
  };
}

export function served(controller: Controller, say: Say, messages = false): Board {
  const board = new ServedController(controller, say, messages);
  return { take: (bytes) => board.receiver.push(bytes) };
}

/** A Drive of the sound controller with nothing in it. */
export const emptyDrive = (): Drive => blankDrive(sound().hello.watch.length);
