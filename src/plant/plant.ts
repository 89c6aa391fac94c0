/**
 * The whole drill: order of the step, commands, hands, snapshot and hash.
 *
 * Order   at the start of a period the command takes effect, the supply is renewed and the numbers are checked; then N
 *         fixed steps, each split at the exact time of every PWM edge, dead-time end and diode current zero.
 *         Between two periods a controller may read (src/sensing) and command: nowhere else.
 * Rules   a step allocates nothing, reads no clock, draws no chance and throws nothing. A value that is not finite
 *         stops the plant and names slot and tick; nothing is reset.
 */
import { SIGNAL_INDEX } from '../signals.ts';
import { requireRange } from '../units/checks.ts';
import { ACCOUNTS, residual_J, residualShare, stored_J } from './audit.ts';
import { phaseCurrent_A } from './axes.ts';
import { cosine, sine, wrapTurn } from './elementary.ts';
import { applyEdges, findEdge, loadCommand, wrapEdges } from './gates.ts';
import { Halls } from './hall.ts';
import { Hands } from './hands.ts';
import { hashOf } from './hash.ts';
import { clampForce_N } from './load/screw.ts';
import type { DrillParams } from './params.ts';
import { seedState } from './random.ts';
import { gearRatio } from './shaft.ts';
import { SLOTS, type SlotName, slot } from './slots.ts';
import { Stepper } from './step.ts';
import { renewSupply } from './supply.ts';
import { type WindingMap, windingMap } from './winding.ts';
import { work } from './work.ts';

export interface PlantOptions {
  /** Seed of the noise and of the rotor angle at the start. */ readonly seed: number;
  /** Longest fixed step [s], 0.25 to 2 us; the step is the period over a whole number. */ readonly h_s: number;
  /** Electrical rotor angle at the start [rad]; drawn from the seed when absent. */ readonly rotorAngle_rad?: number;
}

/** Edges closer than this to a grid point act there [s]: far below a timer tick, far above rounding. */
const SAME_S = 1e-13;

const EDGE = work('edge');

const at = {
  tick: slot('tick'),
  gridStep: slot('gridStep'),
  inPeriod: slot('inPeriod'),
  halted: slot('halted'),
  powered: slot('powered'),
  cos: slot('cos'),
  sin: slot('sin'),
  pole: slot('poleA'),
  mean: slot('meanA'),
  nextDuty: slot('nextDutyA'),
  nextGates: slot('nextGates'),
} as const;

export class Plant {
  /** The plant vector; see SLOTS. Read it freely, write it only to start a test from a given state. */
  readonly state = new Float64Array(SLOTS.length);
  readonly params: DrillParams;
  readonly hands: Hands;
  /** PWM period [s]. */ readonly period_s: number;
  /** Fixed steps in a period. */ readonly stepsPerPeriod: number;
  /** Fixed step [s]. */ readonly h_s: number;
  /** Winding map with its reciprocals. */ readonly map: WindingMap;
  private readonly stepper: Stepper;
  private readonly halls: Halls;
  private readonly ratios: Float64Array;
  /** Time in the period up to which the stepper goes; a vector, so that it need not be boxed. */
  private readonly until = new Float64Array(1);

  /** Throws RangeError when an option is out of range. */
  constructor(params: DrillParams, options: PlantOptions) {
    requireRange('h_s', options.h_s, 0.25e-6, 2e-6, 's');
    requireRange('seed', options.seed, 0, 0xffffffff, '');
    this.params = params;
    this.period_s = 1 / params.bridge.pwm_Hz;
    this.stepsPerPeriod = Math.ceil(this.period_s / options.h_s - 1e-9);
    this.h_s = this.period_s / this.stepsPerPeriod;
    const { stages, stagesInGear } = params.gear;
    this.ratios = Float64Array.of(0, gearRatio(stages, stagesInGear[0]), gearRatio(stages, stagesInGear[1]));
    this.map = windingMap(params.winding);
    this.halls = new Halls(params.winding.halls_rad);
    this.stepper = new Stepper(this.state, params, this.map, this.ratios, this.halls);
    this.hands = new Hands(this.state);
    this.start(options);
  }

  private start(options: PlantOptions): void {
    const x = this.state;
    const p = this.params;
    x[slot('seed')] = seedState(options.seed);
    x[slot('gear')] = 2;
    x[slot('direction')] = 1;
    x[slot('charge')] = p.pack.charge;
    const drawn = (x[slot('seed')] / 4294967296) * 2 * Math.PI;
    const angle = options.rotorAngle_rad ?? drawn;
    x[at.cos] = cosine(angle);
    x[at.sin] = sine(angle);
    x[slot('rotorAngle')] = angle / p.winding.polePairs;
    x[slot('psiAlpha')] = p.winding.magnet_Wb * x[at.cos];
    x[slot('psiBeta')] = p.winding.magnet_Wb * x[at.sin];
    x[slot('hall')] = this.halls.code(x);
    x[slot('hallEdge')] = -1;
    this.beginPeriod();
    x[slot('packVoltage')] = x[slot('ocv')];
    x[slot('stored0')] = stored_J(x, p, this.map);
  }

  /** PWM periods since the start. */
  get tick(): number {
    return this.state[at.tick];
  }

  /** Virtual time [s]. */
  get time_s(): number {
    return this.state[at.tick] * this.period_s + this.state[at.inPeriod];
  }

  /** The logic supply is up: a controller runs. */
  get powered(): boolean {
    return this.state[at.powered] === 1;
  }

  /** Reduction from motor to chuck in the gear that is in. */
  get ratio(): number {
    return this.ratios[this.state[slot('gear')]];
  }

  /** '' while all is well, else which slot stopped being finite, and when. */
  get fault(): string {
    if (this.state[at.halted] === 0) return '';
    const bad = this.state.findIndex((v) => !Number.isFinite(v));
    return `plant: '${SLOTS[bad]?.name ?? 'unknown'}' is not finite since tick ${this.tick}; the run stopped there`;
  }

  /**
   * Takes a command: legs driven (A + 2 B + 4 C) and duties 0 to 1. It is loaded at the next update point.
   * Values out of range are clamped, as a timer clamps them.
   */
  command(gates: number, dutyA: number, dutyB: number, dutyC: number): void {
    const x = this.state;
    x[at.nextGates] = gates & 7;
    x[at.nextDuty] = clampDuty(dutyA);
    x[at.nextDuty + 1] = clampDuty(dutyB);
    x[at.nextDuty + 2] = clampDuty(dutyC);
  }

  /** Runs to the end of the period that has begun. */
  runPeriod(): void {
    const tick = this.state[at.tick];
    while (this.state[at.tick] === tick && this.state[at.halted] === 0) this.step();
  }

  /** One fixed step, split at every edge inside it. */
  step(): void {
    const x = this.state;
    if (x[at.halted] !== 0) return;
    const { w } = this.stepper;
    const n = x[at.gridStep] + 1;
    const last = n === this.stepsPerPeriod;
    const target = last ? this.period_s : n * this.h_s;
    findEdge(x, w);
    while (w[EDGE] < target - SAME_S) {
      this.until[0] = w[EDGE];
      this.stepper.advance(this.until);
      applyEdges(x, w, this.params.bridge);
      findEdge(x, w);
    }
    if (target > x[at.inPeriod]) {
      this.until[0] = target;
      this.stepper.advance(this.until);
    }
    x[at.gridStep] = n;
    if (last) this.endPeriod();
    else if (w[EDGE] <= target + SAME_S) {
      // The edge counts as on the grid point, also when rounding puts it just behind.
      x[at.inPeriod] = Math.max(w[EDGE], target);
      applyEdges(x, w, this.params.bridge);
    }
  }

  private endPeriod(): void {
    const x = this.state;
    for (let k = 0; k < 3; k++) {
      x[at.mean + k] = x[at.pole + k] / this.period_s;
      x[at.pole + k] = 0;
    }
    x[at.gridStep] = 0;
    x[at.inPeriod] = 0;
    x[at.tick] += 1;
    wrapEdges(x, this.stepper.w);
    // A sum is finite only if every part is: one test a period instead of one a slot.
    let sum = 0;
    for (let k = 0; k < x.length; k++) sum += x[k] * 0;
    if (sum !== 0) x[at.halted] = 1;
    else this.beginPeriod();
  }

  private beginPeriod(): void {
    renewSupply(this.state, this.params.pack, this.params.link);
    loadCommand(this.state);
    applyEdges(this.state, this.stepper.w, this.params.bridge);
  }

  /** Value of one slot, for tests and messages. */
  read(name: SlotName): number {
    return this.state[slot(name)];
  }

  /** Fills every `truth` column of a sample vector (SIGNALS.length numbers). */
  observe(out: Float64Array): void {
    observeTruth(this, out);
  }

  /** Copy of the whole state. */
  snapshot(): Float64Array {
    return this.state.slice();
  }

  /** Puts a snapshot back; the run goes on from there bit by bit as it did before. Throws RangeError on a wrong length. */
  restore(snapshot: Float64Array): void {
    if (snapshot.length !== this.state.length) {
      throw new RangeError(`snapshot has ${snapshot.length} numbers; this plant has ${this.state.length}`);
    }
    this.state.set(snapshot);
  }

  /** 16 hexadecimal digits over every bit of the state. */
  hash(): string {
    return hashOf(this.state);
  }

  /** Where the energy went since the start. */
  energy(): { passed_J: number; residual_J: number; share: number; accounts: Record<string, number> } {
    const accounts = Object.fromEntries(ACCOUNTS.map(([name, words]) => [words, this.read(name)]));
    accounts['growth of what is stored'] = stored_J(this.state, this.params, this.map) - this.read('stored0');
    const share = residualShare(this.state, this.params, this.map);
    return {
      passed_J: this.read('passed'),
      residual_J: residual_J(this.state, this.params, this.map),
      share,
      accounts,
    };
  }
}

function clampDuty(d: number): number {
  return d > 0 ? Math.min(d, 1) : 0;
}

const ia = slot('iAlpha');
const ib = slot('iBeta');

function observeTruth(plant: Plant, out: Float64Array): void {
  const x = plant.state;
  const p = plant.params;
  const speed = plant.read('rotorSpeed');
  out[SIGNAL_INDEX.time] = plant.time_s;
  out[SIGNAL_INDEX.packOcv] = plant.read('ocv');
  out[SIGNAL_INDEX.packCurrent] = plant.read('packCurrent');
  out[SIGNAL_INDEX.packVoltage] = plant.read('packVoltage');
  out[SIGNAL_INDEX.charge] = plant.read('charge');
  out[SIGNAL_INDEX.link] = plant.read('link');
  out[SIGNAL_INDEX.poleA] = x[at.mean];
  out[SIGNAL_INDEX.poleB] = x[at.mean + 1];
  out[SIGNAL_INDEX.poleC] = x[at.mean + 2];
  out[SIGNAL_INDEX.currentA] = phaseCurrent_A(0, x[ia], x[ib]);
  out[SIGNAL_INDEX.currentB] = phaseCurrent_A(1, x[ia], x[ib]);
  out[SIGNAL_INDEX.currentC] = phaseCurrent_A(2, x[ia], x[ib]);
  out[SIGNAL_INDEX.currentD] = x[at.cos] * x[ia] + x[at.sin] * x[ib];
  out[SIGNAL_INDEX.currentQ] = x[at.cos] * x[ib] - x[at.sin] * x[ia];
  out[SIGNAL_INDEX.rotorAngle] = wrapTurn(plant.read('rotorAngle') * p.winding.polePairs);
  out[SIGNAL_INDEX.motorSpeed] = speed;
  out[SIGNAL_INDEX.electricalSpeed] = speed * p.winding.polePairs;
  out[SIGNAL_INDEX.airGapTorque] = plant.read('airGap');
  out[SIGNAL_INDEX.gearTorque] = plant.read('gearTorque');
  out[SIGNAL_INDEX.chuckAngle] = plant.read('chuckAngle');
  out[SIGNAL_INDEX.chuckSpeed] = plant.read('chuckSpeed');
  out[SIGNAL_INDEX.loadTorque] = plant.read('loadTorque');
  out[SIGNAL_INDEX.screwDepth] = plant.read('depth');
  out[SIGNAL_INDEX.clampForce] = clampForce_N(p.screw, plant.read('depth'), plant.read('stripped') === 1);
  out[SIGNAL_INDEX.energyResidual] = residualShare(x, p, plant.map);
}
