/** What a lesson is: data. Whatever it shows comes from the bench that its steps set; nothing in it is a result. */
import type { SignalId } from '../../src/signals.ts';
import type { FaultAsk, FreezeWhen, GhostAsk, Hands, RunName } from '../../worker/api.ts';
import type { PartId } from '../drill-view/parts.ts';

/** A stretch of time: what is set when it begins, and what ends it. The same settings give the same bits every time. */
export interface Phase {
  readonly hands?: Hands;
  /** Armed and fired when the phase begins. */ readonly fault?: FaultAsk;
  /** Virtual seconds per second, 1e-4 to 1. */ readonly pace: number;
  readonly until: Omit<FreezeWhen, 'pre_s'>;
  /** What that means, where the condition itself does not say it. */ readonly untilWords?: string;
}

/** A number that is read off the record once time stands. */
export interface Reading {
  readonly words: string;
  readonly channel: SignalId;
  /**
   * `line`: amplitude of the part that swings `order` times an electrical turn of the rotor. `leg error`: by how much pole A is
   * short of its duty times the link, against the sign of its current; what does not ask for the sign is left out. `sum`: of
   * the three sensed currents, mean.
   */
  readonly take: 'most' | 'least' | 'mean' | 'last' | 'change' | 'line' | 'leg error' | 'sum';
  readonly order?: number;
  /** Only the last so many seconds of it. */ readonly last_s?: number;
  /** Number of the phase, from 0; the last one when left out. */ readonly phase?: number;
  readonly run?: RunName;
}

/** Signals over each other, alike in unit. */
export interface Lane {
  readonly name: string;
  readonly channels: readonly (SignalId | 'angle estimate')[];
  /** Least height of the lane, in its display unit: what hardly moves shall look so. */ readonly span?: number;
  readonly run?: RunName;
}

export interface Answer {
  readonly text: string;
  /** What to look at; it never says that an answer is wrong. */ readonly look: string;
  readonly right?: true;
}

export interface Step {
  readonly title: string;
  /** One thought, said before anything moves. */ readonly says: string;
  readonly controller: 'hall-six-step' | 'sensorless';
  readonly phases: readonly Phase[];
  /** The same deeds on another drill, kept as the ghost. */
  readonly ghost?: GhostAsk & { readonly words: string };
  readonly part: PartId;
  readonly lanes: readonly Lane[];
  /** How much of the end the lanes show [s]. */ readonly show_s: number;
  readonly readings: readonly Reading[];
  readonly ask: string;
  readonly answers: readonly [Answer, Answer, Answer];
  /** True angle, current and torque stay hidden until it is answered. */ readonly hidesTruth?: true;
}

export interface Lesson {
  readonly id: string;
  readonly title: string;
  readonly about: string;
  readonly steps: readonly Step[];
}
