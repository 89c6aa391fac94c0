/**
 * What every lock-step link offers: one Sense goes out, the drill waits, one Drive comes back. Losing the controller is
 * an outcome with a named cause, never an exception: the run goes on with all legs open and says so.
 */
import type { Drive, Sense } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import type { Drops } from '../protocol/packet.ts';
import type { ClockFit } from './board-clock.ts';
import type { RoundTrip } from './round-trip.ts';

/** Why a controller was lost, for reports and exit codes; the message of the loss says it in words. */
export const LOSS_CAUSES = Object.freeze({
  exited: 'the process of the controller ended',
  closed: 'the other side closed the connection',
  bye: 'the board ended the link by itself',
  'no hello': 'nothing introduced itself in time',
  'bad hello': 'the Hello does not follow its schema',
  'wrong version': 'the board speaks another version of the protocol',
  'no answer': 'a frame was not answered in time',
  'wrong tick': 'an answer repeats a tick that was not asked',
  silent: 'signs of life stayed away',
  garbage: 'bytes arrive but no valid frame',
});
export type LossCause = keyof typeof LOSS_CAUSES;

export interface LinkLoss {
  readonly cause: LossCause;
  readonly message: string;
}

/** What happened on a link; every count is shown to the user. */
export interface LinkCounters {
  /** Sense or Scene frames sent. */ sent: number;
  /** Answers to the tick or number asked. */ answered: number;
  /** Answers that came when they were already given up. */ late: number;
  /** Answers to what had been answered. */ repeated: number;
  /** Answers to what was never asked. */ wrongTick: number;
  /** Frames that were never answered, though later ones were. */ lost: number;
  /** Hello frames. */ hellos: number;
  /** Hello frames that nobody asked for after the first: the board has restarted. */ restarts: number;
  /** Notes from the board. */ notes: number;
  /** Beats sent and not answered before the next. */ beatsMissed: number;
  /** Bytes that arrived. */ bytes: number;
  /** Frames dropped, by cause. */ readonly drops: Readonly<Drops>;
}

/** A text from the board, made fit to be shown. */
export interface LinkNote {
  readonly level: number;
  readonly text: string;
}

/** What a link is told when its Hello fits. */
export interface WelcomeTerms {
  /** COUPLING_... of the protocol. */ readonly coupling: number;
  /** Virtual time from one frame to the next [s]. */ readonly tick_s: number;
  /** Frames that may be unanswered. */ readonly credits?: number;
}

/** An open link, whatever coupling it serves. */
export interface BoardLink {
  /** Name of the other end as the user wrote it, e.g. tcp:localhost:5301. */ readonly name: string;
  readonly hello: Hello;
  readonly counters: Readonly<LinkCounters>;
  /** Notes of the board, newest last, the last hundred. */ readonly notes: readonly LinkNote[];
  /** Rate of the line [Bd]; only of a serial one. */ readonly baud?: number;
  /** Round trip when the link was opened; only of a serial line, and only when the board answers signs of life. */
  readonly roundTrip?: RoundTrip | undefined;
  /** Clock of the board against ours as far as known; undefined when the board has none. */
  boardClock?(): ClockFit | undefined;
  /** Tells the board that it fits and what follows. */
  welcome(terms: WelcomeTerms): void;
  /** Tells the board why it is not used; `reason` is a REFUSE_ code. */
  refuse(reason: number, text: string): void;
  /** Tells the board that its logic supply comes or goes. */
  power(on: boolean, tick: number): void;
  /** Ends the link, with a Bye, and whatever was started for it; may be called more than once. Never rejects. */
  close(): Promise<void>;
}

export interface LockStepLink extends BoardLink {
  /**
   * Sends one Sense and fills `drive` with its answer. One exchange at a time. After a loss every further call
   * answers with that loss at once and leaves `drive` alone. Never rejects.
   */
  exchange(sense: Sense, drive: Drive): Promise<'ok' | LinkLoss>;
}

/** Times that a link allows, in wall time. */
export interface LinkTimes {
  /** From opening to Hello [s]. */ readonly hello_s: number;
  /** From a Sense to its Drive [s]. */ readonly answer_s: number;
  /** Between two signs of life while nothing else is sent [s]; three that stay away end the link. 0: none. */
  readonly beat_s: number;
}
export const LINK_TIMES: LinkTimes = Object.freeze({ hello_s: 5, answer_s: 2, beat_s: 0.25 });
