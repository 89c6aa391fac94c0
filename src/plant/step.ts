/**
 * Through one update: stretches between edges, and what happens where one ends early.
 *
 * Scheme  the kernel comes back when a diode ran out of current, when a blocked pole left its bounds, or when the link
 *         crosses the avalanche voltage of the switches; the step in question is not taken. A diode's zero is found on a
 *         straight line and once more by a secant; the stretch is cut there.
 */

import { applyEdges, findEdge } from './gates.ts';
import { AVALANCHE_TURNS, DIODE_EMPTY, DONE, integrate, POLE_FREE, PROBE, RUN, TAKE } from './kernel.ts';
import type { KernelMap } from './kernel-map.ts';
import { blockLeg, exhaustedLeg, releaseBlocked, renewLegs, zeroShare } from './legs.ts';
import { BOUND_EVENTS, SHORTEST_S } from './limits.ts';
import type { DrillParams } from './params.ts';
import { quench } from './quench.ts';
import { startSlope } from './slope.ts';
import { slot } from './slots.ts';
import { bookStretch, prepareStretch } from './stretch.ts';
import { work } from './work.ts';

const IN_PERIOD = slot('inPeriod');
const END = slot('stretchEnd');
const LENGTH = slot('stepLength');
const LEFT = slot('stepsLeft');
const EVENTS = slot('events');
const AVALANCHE = slot('avalanche');
const AVALANCHES = slot('avalanches');

const I_A = slot('iAlpha');
const I_B = slot('iBeta');

const PERIOD = work('period');
const FROM_A = work('fromAlpha');
const FROM_B = work('fromBeta');
const LONGEST = work('longest');
const EDGE = work('edge');
const PART = work('part');
const SHARE = work('share');
const LINK = work('link1');

const ALL = 1e9;

export class Stepper {
  private readonly x: Float64Array;
  private readonly w: Float64Array;
  private readonly p: DrillParams;
  private readonly map: KernelMap;

  constructor(state: Float64Array, scratch: Float64Array, params: DrillParams, map: KernelMap) {
    this.x = state;
    this.w = scratch;
    this.p = params;
    this.map = map;
  }

  /** After a change of switches or diodes: legs, first guess, and equal steps to the next edge. */
  plan(): void {
    const { x, w, p } = this;
    findEdge(x, w, p.bridge);
    while (w[EDGE] - x[IN_PERIOD] < SHORTEST_S && w[EDGE] < w[PERIOD]) {
      x[IN_PERIOD] = w[EDGE];
      applyEdges(x, w, p.bridge, p.link);
      findEdge(x, w, p.bridge);
    }
    x[END] = w[EDGE];
    this.replan();
  }

  private replan(): void {
    const { x, w } = this;
    renewLegs(x, w, this.p.bridge);
    quench(x, w, this.map);
    startSlope(x, w, this.map);
    w[FROM_A] = x[I_A];
    w[FROM_B] = x[I_B];
    const whole = x[END] - x[IN_PERIOD];
    const steps = Math.max(1, Math.ceil(whole / w[LONGEST] - 1e-6));
    x[LEFT] = whole > 0 ? steps : 0;
    x[LENGTH] = whole / steps;
  }

  /** Runs to the end of the update interval. */
  finish(): void {
    while (!this.go(ALL));
  }

  /** One step; true at the end of the update interval. */
  step(): boolean {
    return this.go(1);
  }

  /** At most `most` steps of the stretch; true at the end of the update interval. */
  private go(most: number): boolean {
    const { x, w } = this;
    if (x[LEFT] > 0) {
      w[PART] = x[LENGTH];
      prepareStretch(x, w, this.map);
      const code = integrate(x, w, this.map, RUN, most);
      if (code !== DONE || x[LEFT] === 0) bookStretch(x, w, this.map);
      if (code !== DONE) this.meet(code);
    }
    if (x[LEFT] > 0) return false;
    x[IN_PERIOD] = x[END];
    x[EVENTS] = 0;
    if (x[END] >= w[PERIOD] - SHORTEST_S) return true;
    applyEdges(x, w, this.p.bridge, this.p.link);
    this.plan();
    return false;
  }

  private meet(code: number): void {
    const { x, w } = this;
    x[EVENTS]++;
    if (code === AVALANCHE_TURNS) {
      x[AVALANCHE] = 1 - x[AVALANCHE];
      x[AVALANCHES] += x[AVALANCHE];
      this.replan();
      if (x[EVENTS] > BOUND_EVENTS) this.take(x[LENGTH]);
    } else if (code === POLE_FREE) {
      releaseBlocked(x, w);
      this.replan();
      if (x[EVENTS] > BOUND_EVENTS) this.take(x[LENGTH]);
    } else if (code === DIODE_EMPTY) this.emptyDiode();
  }

  /** A diode runs out of current within the next step: run to that moment, then block it. */
  private emptyDiode(): void {
    const { x, w } = this;
    const length = x[LENGTH];
    const leg = exhaustedLeg(x, w);
    let part = length * w[SHARE];
    if (part >= SHORTEST_S && length - part >= SHORTEST_S) {
      this.probe(part);
      zeroShare(x, w, leg);
      const better = part * w[SHARE];
      if (better > SHORTEST_S && better < length) part = better;
    }
    if (part >= SHORTEST_S) this.take(Math.min(part, length));
    blockLeg(x, w, leg);
    this.replan();
    // It would have to carry backwards from the start: it stays blocked for a step, whatever its pole says.
    if (part < SHORTEST_S && x[LEFT] > 0) this.take(x[LENGTH]);
  }

  private probe(length: number): void {
    const { x, w } = this;
    w[PART] = length;
    prepareStretch(x, w, this.map);
    integrate(x, w, this.map, PROBE, 1);
  }

  /** Takes one step of the given length, unchecked, and plans what is left. */
  private take(length: number): void {
    const { x, w } = this;
    if (x[AVALANCHE] === 1) {
      // Whether the switches still avalanche is asked for first: below their voltage they would give energy back.
      this.probe(length);
      if (w[LINK] < this.map.avalanche_V) x[AVALANCHE] = 0;
    }
    w[PART] = length;
    prepareStretch(x, w, this.map);
    integrate(x, w, this.map, TAKE, 1);
    bookStretch(x, w, this.map);
    this.replan();
  }
}
