/**
 * The drill around a motor that turns elsewhere: on a board that runs a model of its own, or at a dynamometer.
 *
 * Model   the slow parts of the plant as they are: cells, RC pairs, resistance and protection, trigger contact, heat of
 *         the motor, gear and shift, clutch, load. Link, bridge, winding and rotor are the motor's and not here. Left out
 *         for that reason, or because an interval is longer than they last: link capacitance (the supply goes with the
 *         contact, and comes one interval after it), bounce of the contact, lead inductance, heat of the switches (nobody
 *         reports it: they stay at the air) and of the iron, play of the gear, the tool body (slow-shaft.ts).
 * Scheme  once an interval: begin() says what lies around the motor, end() takes what the motor did.
 * Energy  the motor is outside, so nothing can balance from pack to work. Both ends are booked by themselves: what left the
 *         pack at its terminals, and what the shaft gave to gear, chuck and load.
 */
import { requireRange } from '../units/checks.ts';
import { hashOf } from './hash.ts';
import { endHeat } from './heat.ts';
import { commitLoad, type LoadMaps, loadMaps, renewLoad } from './load/index.ts';
import type { DrillParams } from './params.ts';
import { Plant } from './plant.ts';
import { SLOTS, type SlotName, slot } from './slots.ts';
import { type Around, catchPush_Nm, seeFromShaft, type Turn, turnChuck } from './slow-shaft.ts';
import { observeSlow } from './slow-signals.ts';
import { beginSupply, endSupply, renewCells } from './supply.ts';
import { beginTransmission, type GearMap, gearMap } from './transmission.ts';
import { WORK_LENGTH, work } from './work.ts';

/** Intervals a second that are allowed [Hz]. */
export const RATE_LEAST_HZ = 100;
export const RATE_MOST_HZ = 1000;

const X = {
  tick: slot('tick'),
  halted: slot('halted'),
  engaged: slot('engaged'),
  powered: slot('powered'),
  capacitor: slot('capacitor'),
  link: slot('link'),
  mean: slot('packMean'),
  volts: slot('packVoltage'),
  sumCharge: slot('sumCharge'),
  lossPack: slot('lossPack'),
  copper: slot('sumCopper'),
  hold: slot('sumHold'),
  mesh: slot('sumMesh'),
  rotor: slot('rotorSpeed'),
  rotorAngle: slot('rotorAngle'),
  winding: slot('windingHeat'),
  sink: slot('sinkHeat'),
} as const;
const PERIOD = work('period');
const EMF = work('emfCells');
const OHM = work('packOhm');
const CLOSED = work('closed');

/** Accounts, with the words a report uses. */
const ACCOUNTS: readonly (readonly [SlotName, string])[] = [
  ['lossPack', 'heat in the pack'],
  ['lossCopper', 'heat in the winding, as reported'],
  ['lossGear', 'gear'],
  ['lossClutch', 'clutch'],
  ['lossChuck', 'chuck friction'],
  ['work', 'load'],
];
const BEHIND_SHAFT: readonly SlotName[] = ['lossGear', 'lossClutch', 'lossChuck', 'work'];

export interface SlowOptions {
  /** Intervals a second, 100 to 1000. */ readonly rate_Hz: number;
  /** Start of the scatter of cells and wood, 0 to 2^32 - 1. */ readonly seed: number;
}

export class SlowPlant {
  readonly params: DrillParams;
  /** Interval [s]. */ readonly period_s: number;
  /** Filled by begin(). */
  readonly around: Around = { powered: false, open_V: 0, source_ohm: 0, hold_Nm: 0, push_Nm: 0, inertia_kgm2: 0 };
  /** A drill as it starts: its state, hands and names for them serve here too; it is never stepped. */
  private readonly drill: Plant;
  private readonly w = new Float64Array(WORK_LENGTH);
  private readonly gears: GearMap;
  private readonly loads: LoadMaps;
  private pack_J = 0;
  private shaft_J = 0;

  /** Throws RangeError when an option is out of range. */
  constructor(params: DrillParams, options: SlowOptions) {
    requireRange('rate_Hz', options.rate_Hz, RATE_LEAST_HZ, RATE_MOST_HZ, 'Hz');
    this.params = params;
    this.period_s = 1 / options.rate_Hz;
    this.drill = new Plant(params, { seed: options.seed, h_s: 1e-6 });
    this.gears = gearMap(params.gear);
    this.loads = loadMaps(params);
    this.w[PERIOD] = this.period_s;
  }

  get state(): Float64Array {
    return this.drill.state;
  }

  get hands(): Plant['hands'] {
    return this.drill.hands;
  }

  get damage(): Plant['damage'] {
    return this.drill.damage;
  }

  /** Intervals since the start. */
  get tick(): number {
    return this.state[X.tick];
  }

  /** Time of the drill [s]. */
  get time_s(): number {
    return this.state[X.tick] * this.period_s;
  }

  /** Gear that is in: 1 or 2, 0 in neutral. */
  get gear(): number {
    return this.state[X.engaged];
  }

  get winding_K(): number {
    return this.state[X.winding];
  }

  /** Temperature of the switches: that of the air, since nobody reports what they lose. */
  get bridge_K(): number {
    return this.state[X.sink];
  }

  /** '' while all is well, else which slot stopped being finite, and when. */
  get fault(): string {
    if (this.state[X.halted] === 0) return '';
    const bad = this.state.findIndex((v) => !Number.isFinite(v));
    return `plant: '${SLOTS[bad]?.name ?? 'unknown'}' is not finite since interval ${this.tick}; the run stopped there`;
  }

  /** Start of an interval: renews supply, gear and load and fills `around`. */
  begin(): void {
    const { around, params: p, w } = this;
    const x = this.state;
    renewCells(x, p.pack);
    beginSupply(x, w, p.pack, p.link);
    const closed = w[CLOSED] === 1;
    x[X.capacitor] = closed ? w[EMF] - w[OHM] * x[X.mean] : 0;
    around.powered = closed && x[X.powered] === 1;
    around.open_V = around.powered ? w[EMF] : 0;
    around.source_ohm = around.powered ? w[OHM] : 0;
    const before = x[X.engaged];
    beginTransmission(x, w, p, this.gears);
    renewLoad(x, w, this.loads);
    seeFromShaft(x, w, p, around);
    if (before === 0 && x[X.engaged] !== 0) around.push_Nm += catchPush_Nm(x, w, around);
  }

  /** End of an interval: takes what the motor did in it. */
  end(turn: Turn): void {
    const { around, params: p, w } = this;
    const x = this.state;
    const dt = this.period_s;
    const drawn = around.powered ? turn.drawn_A : 0;
    x[X.sumCharge] = dt * drawn;
    // The cells know the mean current only: what a ripple heats beyond that is left out.
    x[X.lossPack] += dt * w[OHM] * drawn * drawn;
    endSupply(x, w, p.pack);
    x[X.link] = around.powered ? w[EMF] - w[OHM] * drawn : 0;
    this.pack_J += dt * x[X.volts] * drawn;
    this.shaft_J += turn.torque_Nm * turn.turned_rad;
    turnChuck(x, w, p, turn);
    commitLoad(x, w, this.loads);
    x[X.rotor] = turn.speed_rad_s;
    x[X.rotorAngle] += turn.turned_rad;
    x[X.copper] = dt * turn.loss_W;
    x[X.hold] = x[X.mesh];
    endHeat(x, w, p);
    x[X.tick] += 1;
    let sum = 0;
    for (let k = 0; k < x.length; k++) sum += x[k] * 0;
    if (sum !== 0) x[X.halted] = 1;
  }

  /** Value of one slot, for tests and messages. */
  read(name: SlotName): number {
    return this.state[slot(name)];
  }

  /** Fills every `truth` column of a sample vector; what only the motor knows is NaN. */
  observe(out: Float64Array): void {
    observeSlow(this.drill, this.time_s, out);
  }

  /** 16 hexadecimal digits over every bit of the state. */
  hash(): string {
    return hashOf(this.state);
  }

  /** What was booked at both ends. There is no balance over the motor: its share is NaN. */
  energy(): { passed_J: number; share: number; accounts: Record<string, number> } {
    const { shaft } = this.params;
    const chuck_rad_s = this.read('chuckSpeed');
    const motion = 0.5 * shaft.chuck_kgm2 * chuck_rad_s * chuck_rad_s;
    const behind = BEHIND_SHAFT.reduce((sum, name) => sum + this.read(name), motion);
    return {
      passed_J: this.read('passed'),
      share: Number.NaN,
      accounts: {
        'pack at its terminals': this.pack_J,
        'shaft of the motor': this.shaft_J,
        ...Object.fromEntries(ACCOUNTS.map(([name, words]) => [words, this.read(name)])),
        'motion of the chuck': motion,
        'shaft without an account': this.shaft_J - behind,
      },
    };
  }
}
