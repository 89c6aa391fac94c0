/**
 * What every lock-step link offers: one Sense goes out, the drill waits, one Drive comes back. Losing the controller is
 * an outcome with a named cause, never an exception: the run goes on with all legs open and says so.
 */
import type { Drive, Sense } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import type { Drops } from '../protocol/packet.ts';

/** Why a controller was lost, for reports and exit codes; the message of the loss says it in words. */
export const LOSS_CAUSES = Object.freeze({
  exited: 'the process of the controller ended',
  closed: 'the other side closed the connection',
  'no hello': 'nothing introduced itself in time',
  'bad hello': 'the Hello does not follow its schema',
  'wrong version': 'the board speaks another version of the protocol',
  'no answer': 'a frame was not answered in time',
  'wrong tick': 'an answer repeats a tick that was not asked',
  garbage: 'bytes arrive but no valid frame',
});
export type LossCause = keyof typeof LOSS_CAUSES;

export interface LinkLoss {
  readonly cause: LossCause;
  readonly message: string;
}

/** What happened on a link; every count is shown to the user. */
export interface LinkCounters {
  /** Sense frames sent. */ sent: number;
  /** Drive frames that answered the tick asked. */ answered: number;
  /** Drive frames that came when the link was already given up. */ late: number;
  /** Drive frames for a tick that had been answered. */ repeated: number;
  /** Hello frames; more than Greets sent plus one means that the board has restarted. */ hellos: number;
  /** Bytes that arrived. */ bytes: number;
  /** Frames dropped, by cause. */ readonly drops: Readonly<Drops>;
}

export interface LockStepLink {
  readonly hello: Hello;
  readonly counters: Readonly<LinkCounters>;
  /**
   * Sends one Sense and fills `drive` with its answer. One exchange at a time. After a loss every further call
   * answers with that loss at once and leaves `drive` alone. Never rejects.
   */
  exchange(sense: Sense, drive: Drive): Promise<'ok' | LinkLoss>;
  /** Ends the link and whatever was started for it; may be called more than once. Never rejects. */
  close(): Promise<void>;
}

/** Times that a link allows, in wall time. */
export interface LinkTimes {
  /** From opening to Hello [s]. */ readonly hello_s: number;
  /** From a Sense to its Drive [s]. */ readonly answer_s: number;
}
export const LINK_TIMES: LinkTimes = Object.freeze({ hello_s: 5, answer_s: 2 });
