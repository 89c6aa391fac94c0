/**
 * The whole drill: order of an update, commands, hands, snapshot and hash.
 *
 * Order   at an update point the command takes effect, slow models are renewed and the numbers are checked. The update
 *         is cut into stretches at the exact time of every PWM edge and dead-time end; a stretch runs in equal steps of
 *         at most h, and is cut again where a diode runs out of current. Between two updates a controller may read
 *         (src/sensing) and command: nowhere else.
 * Rules   a step allocates nothing, reads no clock, draws no chance and throws nothing. A value that is not finite
 *         stops the plant and names slot and tick; nothing is reset.
 */
import { requireRange } from '../units/checks.ts';
import { cosine, sine } from '../units/elementary.ts';
import { ACCOUNTS, residual_J, residualShare, stored_J } from './audit.ts';
import { legCurrent_A, PHASE_OF_LEG, phaseCurrent_A } from './axes.ts';
import { beginBody, endBody } from './body.ts';
import { Damage } from './damage.ts';
import { applyEdges, loadCommand, renewBoots, wrapEdges } from './gates.ts';
import { Halls } from './hall.ts';
import { Hands } from './hands.ts';
import { hashOf } from './hash.ts';
import { beginHeat, endHeat, renewMagnet, startHeat } from './heat.ts';
import { type KernelMap, kernelMap } from './kernel-map.ts';
import { commitLoad, type LoadMaps, loadMaps, placeLoad, renewLoad } from './load/index.ts';
import { observeTruth } from './observe.ts';
import type { DrillParams } from './params.ts';
import { primeKernel } from './prime.ts';
import { seedState } from './random.ts';
import { beginShorted } from './shorted.ts';
import { beginShorts } from './shorts.ts';
import { SLOTS, type SlotName, slot } from './slots.ts';
import { requireStable } from './stability.ts';
import { Stepper } from './step.ts';
import { beginSupply, endSupply, renewCells, startPack } from './supply.ts';
import { beginTransmission, type GearMap, gearMap } from './transmission.ts';
import { magnetD_Wb, magnetQ_Wb } from './winding.ts';
import { inPair, shuntOfPair_A } from './wires.ts';
import { WORK_LENGTH, work } from './work.ts';

export interface PlantOptions {
  /** Seed of noise, scatter and of the rotor angle at the start. */ readonly seed: number;
  /** Longest step [s], 0.25 to 2 us. */ readonly h_s: number;
  /** Electrical rotor angle at the start [rad]; drawn from the seed when absent. */ readonly rotorAngle_rad?: number;
}

const at = {
  tick: slot('tick'),
  half: slot('half'),
  inPeriod: slot('inPeriod'),
  halted: slot('halted'),
  powered: slot('powered'),
  cos: slot('cos'),
  sin: slot('sin'),
  pole: slot('poleA'),
  mean: slot('meanA'),
  nextDuty: slot('nextDutyA'),
  nextGates: slot('nextGates'),
  engaged: slot('engaged'),
  wiring: slot('wiring'),
  slopeA: slot('slopeAlpha'),
  slopeB: slot('slopeBeta'),
} as const;
const SHUNT = work('shuntA');

const SEED_HIGHEST = 0xffffffff;
/** Keeps what faults draw apart from the noise of the same seed. */
const CHANCE_APART = 0x5bd1e995;
/** Push of a hand that nobody has set: enough for the screw of every preset; illustrative [N]. */
const USUAL_PUSH_N = 120;

export class Plant {
  /** The plant vector; see SLOTS. Read it freely; a test that writes it calls renew() after. */
  readonly state = new Float64Array(SLOTS.length);
  readonly params: DrillParams;
  readonly hands: Hands;
  readonly damage: Damage;
  /** Update interval: the PWM period, or half of it [s]. */ readonly period_s: number;
  /** Longest step [s]. */ readonly h_s: number;
  /** Constants of winding and kernel. */ readonly map: KernelMap;
  private readonly w = new Float64Array(WORK_LENGTH);
  private readonly stepper: Stepper;
  private readonly halls: Halls;
  private readonly gears: GearMap;
  private readonly loads: LoadMaps;

  /** Throws RangeError when an option is out of range or a step would be unstable. */
  constructor(params: DrillParams, options: PlantOptions) {
    requireRange('h_s', options.h_s, 0.25e-6, 2e-6, 's');
    requireRange('seed', options.seed, 0, SEED_HIGHEST, '');
    requireStable(params, options.h_s);
    this.params = params;
    this.period_s = 1 / (params.bridge.pwm_Hz * params.bridge.updates);
    this.h_s = options.h_s;
    this.map = kernelMap(params);
    primeKernel(this.map);
    this.gears = gearMap(params.gear);
    this.loads = loadMaps(params);
    this.halls = new Halls(params.winding.halls_rad, params.winding.polePairs);
    this.stepper = new Stepper(this.state, this.w, params, this.map);
    this.hands = new Hands(this.state, params);
    this.damage = new Damage(this.state);
    this.w[work('period')] = this.period_s;
    this.w[work('pwmHalf')] = 0.5 / params.bridge.pwm_Hz;
    this.w[work('longest')] = options.h_s;
    this.w[work('blocked')] = 3;
    this.start(options);
  }

  private start(options: PlantOptions): void {
    const x = this.state;
    const p = this.params;
    x[slot('seed')] = seedState(options.seed);
    x[slot('chance')] = seedState((options.seed + CHANCE_APART) % (SEED_HIGHEST + 1));
    x[slot('gear')] = 2;
    x[at.engaged] = 2;
    x[slot('direction')] = 1;
    x[slot('wrist')] = 1;
    x[slot('push')] = USUAL_PUSH_N;
    x[slot('jointSpan')] = p.joint.span_rad;
    const drawn = (x[slot('seed')] / 4294967296) * 2 * Math.PI;
    const angle = options.rotorAngle_rad ?? drawn;
    const mechanical = angle / p.winding.polePairs;
    x[at.cos] = cosine(angle);
    x[at.sin] = sine(angle);
    x[slot('slotCos')] = cosine(mechanical * p.winding.slots);
    x[slot('slotSin')] = sine(mechanical * p.winding.slots);
    x[slot('rotorAngle')] = mechanical;
    startPack(x, p.pack);
    startHeat(x, p);
    placeLoad(x, p, 0);
    const d = magnetD_Wb(this.map, x[slot('magnet')], x[at.cos], x[at.sin]);
    const q = magnetQ_Wb(this.map, x[slot('magnet')], x[at.cos], x[at.sin]);
    x[slot('psiAlpha')] = x[at.cos] * d - x[at.sin] * q;
    x[slot('psiBeta')] = x[at.sin] * d + x[at.cos] * q;
    x[slot('hallSensors')] = this.halls.code(x);
    x[slot('hall')] = x[slot('hallSensors')];
    x[slot('hallEdge')] = -1;
    this.beginUpdate();
    x[slot('packVoltage')] = x[slot('ocv')];
    x[slot('stored0')] = stored_J(x, p, this.map);
  }

  /** Updates since the start. */
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

  /** Reduction from motor to chuck in the gear that is in; 0 in neutral. */
  get ratio(): number {
    return this.gears.ratio[this.state[at.engaged]];
  }

  /** Current through the shunt of a leg, ahead_s after now, as the legs stand [A]. */
  shunt_A(leg: number, ahead_s: number): number {
    const { state: x, w } = this;
    if (inPair(w, leg)) return shuntOfPair_A(x, w, leg, ahead_s);
    const phase = PHASE_OF_LEG[3 * x[at.wiring] + leg];
    const i = legCurrent_A(x, leg) + phaseCurrent_A(phase, x[at.slopeA], x[at.slopeB]) * ahead_s;
    // The heat of the shunt goes by the square of its share.
    return i * Math.sqrt(w[SHUNT + phase]);
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

  /** Runs to the end of the update interval that has begun. */
  runPeriod(): void {
    if (this.state[at.halted] !== 0) return;
    this.stepper.finish();
    this.endUpdate();
  }

  /** One step of at most h; the last one of an interval ends it. */
  step(): void {
    if (this.state[at.halted] !== 0) return;
    if (this.stepper.step()) this.endUpdate();
  }

  private endUpdate(): void {
    const { state: x, w, params: p } = this;
    for (let k = 0; k < 3; k++) {
      x[at.mean + k] = x[at.pole + k] / this.period_s;
      x[at.pole + k] = 0;
    }
    commitLoad(x, w, this.loads);
    endBody(x, w, p.body);
    this.halls.end(x, w);
    endSupply(x, w, p.pack);
    endHeat(x, w, p);
    renewMagnet(x, p.magnet, this.map);
    renewBoots(x, w, p.bridge);
    x[at.inPeriod] = 0;
    x[at.tick] += 1;
    if (p.bridge.updates === 2) x[at.half] = 1 - x[at.half];
    wrapEdges(x, w);
    if (!allFinite(x)) x[at.halted] = 1;
    else this.beginUpdate();
  }

  private beginUpdate(): void {
    const { state: x, w, params: p } = this;
    beginSupply(x, w, p.pack, p.link);
    beginHeat(x, w, p);
    beginShorted(x, w, p.winding);
    beginShorts(x, w, p);
    beginTransmission(x, w, p, this.gears);
    beginBody(x, w, p.body, p.shaft);
    renewLoad(x, w, this.loads);
    this.halls.begin(x);
    loadCommand(x);
    applyEdges(x, w, p.bridge, p.link);
    this.stepper.plan();
  }

  /** After a test has written slots: takes them over as if the update began now. */
  renew(): void {
    renewCells(this.state, this.params.pack);
    this.beginUpdate();
  }

  /** Value of one slot, for tests and messages. */
  read(name: SlotName): number {
    return this.state[slot(name)];
  }

  /** Fills every `truth` column of a sample vector (SIGNALS.length numbers). */
  observe(out: Float64Array): void {
    observeTruth(this, out);
  }

  /** Copy of the whole state, and of what an update that has begun goes by. */
  snapshot(): Float64Array {
    const out = new Float64Array(this.state.length + this.w.length);
    out.set(this.state);
    out.set(this.w, this.state.length);
    return out;
  }

  /** Puts a snapshot back; the run goes on from there bit by bit as it did before. Throws RangeError on a wrong length. */
  restore(snapshot: Float64Array): void {
    const { length } = this.state;
    if (snapshot.length !== length + this.w.length) {
      throw new RangeError(`snapshot has ${snapshot.length} numbers; this plant has ${length + this.w.length}`);
    }
    this.state.set(snapshot.subarray(0, length));
    this.w.set(snapshot.subarray(length));
  }

  /** 16 hexadecimal digits over every bit of the state. */
  hash(): string {
    return hashOf(this.state);
  }

  /** Where the energy went since the start; valid between two updates. */
  energy(): { passed_J: number; residual_J: number; share: number; accounts: Record<string, number> } {
    const accounts = Object.fromEntries(ACCOUNTS.map(([name, words]) => [words, this.read(name)]));
    accounts['growth of what is stored'] = stored_J(this.state, this.params, this.map) - this.read('stored0');
    return {
      passed_J: this.read('passed'),
      residual_J: residual_J(this.state, this.params, this.map),
      share: residualShare(this.state, this.params, this.map),
      accounts,
    };
  }
}

/** A sum is finite only if every part is: one test an update instead of one a slot. Four sums, so that none waits for another. */
function allFinite(x: Float64Array): boolean {
  let a = 0;
  let b = 0;
  let c = 0;
  let d = 0;
  let k = 0;
  for (; k + 3 < x.length; k += 4) {
    a += x[k] * 0;
    b += x[k + 1] * 0;
    c += x[k + 2] * 0;
    d += x[k + 3] * 0;
  }
  for (; k < x.length; k++) a += x[k] * 0;
  return a + b + c + d === 0;
}

function clampDuty(d: number): number {
  return d > 0 ? Math.min(d, 1) : 0;
}
