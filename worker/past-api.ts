/**
 * What the page may ask about the past of a run, and do with it. Moments are seconds of virtual time, differences of whole ticks
 * inside: a moment at 10 h is as exact as one at 0. Part of DrillApi; every value survives a structured clone.
 */
import type { SignalId } from '../src/signals.ts';
import type { Hands } from './api.ts';
import type { LiveOrder } from './fault-api.ts';

/** A signal of the registry, or a watch value of the controller by its place in `BenchInfo.watch`. */
export type Channel = SignalId | `watch ${number}`;
/** The run on the bench, or the one that it is compared with. */
export type RunName = 'now' | 'ghost';

export interface Span {
  readonly from_s: number;
  readonly to_s: number;
}

export interface Look extends Span {
  readonly run: RunName;
  /** 64 at most. */ readonly channels: readonly Channel[];
  /** Most values a channel, 2 to 400 000; of spans there are at most as many. */ readonly points: number;
}

/** What was asked for, SI, one array a channel in the order asked. NaN where there is no reading or nothing is kept. */
export interface Looked extends Span {
  /** Of the first value (kind 'values'), or where the first span begins. Falls on a whole period near what was asked. */
  readonly from_s: number;
  /** Of the last value, or where the last span ends. */ readonly to_s: number;
  /** From one value or span to the next [s]. */ readonly step_s: number;
  /**
   * 'values': the value at the end of every PWM period, none left out; value k stands at from_s + k step_s.
   * 'spans': lowest and highest of every period in a span, alternating (2 numbers a span); span k goes from
   * from_s + k step_s to one step on. Spans begin at whole multiples of their length, so they do not flicker as time moves.
   */
  readonly kind: 'values' | 'spans';
  /** Channel `time` is told as seconds after from_s. */ readonly data: Float32Array[];
  /** Of what this run holds at all, in spans; the last 10 s of it also in values. */ readonly held: Span;
  /** Moments at which the machine was too slow: virtual time, and seconds that were lost there. */
  readonly gaps: [at_s: number, lost_s: number][];
}

/** A few periods of the plant step by step. */
export interface Detail extends Span {
  /** Moment of each value, in seconds after from_s; a step is 1 us or shorter, cut at every edge of a switch. */
  readonly at_s: Float32Array;
  /** One array a channel. What the controller said, and what the plant renews once a period, stands still within it. */
  readonly data: Float32Array[];
}

/** Why a question about the past has no answer, in a sentence. */
export interface NoPast {
  readonly ok: false;
  readonly why: string;
}

export interface Rewound {
  readonly ok: true;
  /** Where the bench stands now [s]. */ readonly at_s: number;
}

/** When time shall stand still by itself: once, at the end of the first period for which it holds. */
export interface FreezeWhen {
  readonly kind: 'rises through' | 'falls through' | 'above' | 'below' | 'between' | 'event';
  /** Of all kinds but 'event'. */ readonly channel?: Channel;
  /** SI. */ readonly level?: number;
  /** Of 'between', SI; below `level` the window is everything outside, as it is for an angle across zero. */
  readonly upper?: number;
  readonly event?: FreezeEvent;
  /** Time before it that a view shows with it [s], 0 to 10. */ readonly pre_s: number;
}
/** A controller that trips, a fault that comes into force, a controller that is lost, work that the bit comes up against. */
export type FreezeEvent = 'trip' | 'fault' | 'lost' | 'contact';

export type MarkKind = 'deed' | 'fault' | 'trip' | 'lost' | 'contact' | 'freeze' | 'rewind' | 'slow';
/** Something that happened at a moment of a run. */
export interface Mark {
  readonly at_s: number;
  readonly kind: MarkKind;
  /** A few words. */ readonly words: string;
}

/** What to go through the deeds of this run with; what is left out stays as it is in the run. */
export interface GhostAsk {
  readonly controller?: string;
  readonly drill?: string;
  /** Numbers of the drill, by their keys ('winding.r_ohm'), SI. */
  readonly changes?: readonly { readonly key: string; readonly value: number | readonly number[] }[];
}

export interface GhostNews {
  /** What it is, in a few words. */ readonly title: string;
  readonly held: Span;
  /** 0 to 1; 1 when it is complete. */ readonly progress: number;
  /** Why it ended early, '' otherwise. */ readonly why: string;
}

/** One line of the table of differences over a span: run now, ghost, and ghost minus now. */
export interface Difference {
  readonly channel: Channel;
  readonly mean: readonly [now: number, ghost: number, difference: number];
  readonly rms: readonly [now: number, ghost: number, difference: number];
  /** Greatest value. */ readonly most: readonly [now: number, ghost: number, difference: number];
  /** Value at the end of the span. */ readonly last: readonly [now: number, ghost: number, difference: number];
  /** Greatest distance between both at the same tick; NaN when not every period is kept. */ readonly apart: number;
}
export interface Differences extends Span {
  /** Every period went in; false where only spans are kept: means and RMS are NaN then. */ readonly exact: boolean;
  readonly rows: readonly Difference[];
}

/** How the past stands; part of LinkNews, several times a second. */
export interface PastNews {
  /** What run 'now' holds. Its end lies after the present when the run was rewound. */ readonly held: Span;
  /** Since when every period is kept [s]. */ readonly finest_s: number;
  readonly now_s: number;
  /** Earliest moment that `rewindTo` takes [s]. */ readonly earliest_s: number;
  /** Why nobody can rewind, '' when it can be done. */ readonly fixed: string;
  /** The present lies before the end: running goes through the same deeds again until a hand does something else. */
  readonly rewound: boolean;
  readonly freezeWhen?: FreezeWhen;
  /** The last freeze by a condition, until time runs again. */ readonly frozen?: { at_s: number; by: FreezeWhen };
  /** Tells one bench from the next. */ readonly bench: number;
  /** How often a condition has frozen time on this bench. */ readonly freezes: number;
  readonly ghost?: GhostNews;
  /** Grows with every mark, and when marks are taken away: time to ask again. */ readonly marks: number;
}

/** Everything that a person does that changes a run. */
export type DeedDone =
  | { readonly kind: 'hands'; readonly hands: Hands }
  | { readonly kind: 'stop' }
  | { readonly kind: 'new screw' }
  | FaultDeed;
/** Faults of the running bench. A handle is given by whoever does the deed, so that going through it again names the same one. */
export type FaultDeed =
  | { readonly kind: 'fault'; readonly what: 'arm'; readonly handle: number; readonly order: LiveOrder }
  | { readonly kind: 'fault'; readonly what: 'fire' | 'clear'; readonly handle: number }
  | { readonly kind: 'fault'; readonly what: 'clear all' };

export interface PastApi {
  /** Reads what was recorded. Cheap enough for every frame. Throws RangeError on an unknown channel or a span that is none. */
  look(ask: Look): Looked;
  /** Goes through at most 2 ms again, step by step; the bench on show does not move. */
  detail(from_s: number, to_s: number, channels: readonly Channel[]): Detail | NoPast;
  /** Freezes, and puts the bench to the tick nearest to a moment of this run, with the same bits as it had there. */
  rewindTo(time_s: number): Rewound | NoPast;
  /** The same by whole PWM periods, 1 to 20000, from where the bench stands. */
  stepBack(periods: number): Rewound | NoPast;
  /** What came after the present becomes the ghost; the run goes on anew from here. A deed while rewound does that too. */
  carryOn(): void;
  /** Sets the condition, or takes it away. Throws RangeError on a condition that cannot be looked at. */
  freezeWhen(condition: FreezeWhen | undefined): void;
  /** What happened in a span, in the order of time, 2000 at most (the last ones). */
  marks(from_s: number, to_s: number): Mark[];
  /**
   * Goes through the deeds of this run from its start on another bench, as fast as it can beside the one on show, and keeps
   * it as the ghost. Resolves when it has caught up or was given up. Throws RangeError on an unknown name or key.
   */
  ghostOf(ask: GhostAsk): Promise<{ readonly ok: true } | NoPast>;
  /** Gives up `ghostOf`, or takes the ghost away. */
  dropGhost(): void;
  /** Compares run and ghost where both hold something. Throws RangeError on an unknown channel. */
  differences(channels: readonly Channel[], from_s: number, to_s: number): Differences | NoPast;
}
