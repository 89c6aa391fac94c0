/**
 * Plays the commissioning firmware on a drill and its board, as a user would run it on a bench, and reads the facts from its
 * watch values. The chuck is free, the gear is low, the trigger is pressed to the end.
 */
import { commissioning, FACT_WATCH } from '../control/commission/commission.ts';
import type { CommissionSettings } from '../control/commission/settings.ts';
import { COMMISSION_REASONS } from '../control/commission/tables.ts';
import { type MotorFacts, motorFacts } from '../control/motor-facts.ts';
import type { DrillParams } from '../plant/params.ts';
import { PRESETS } from '../plant/presets/index.ts';
import type { Drive } from '../protocol/frames.ts';
import { STATE_READY, STATE_TRIPPED } from '../protocol/frames.ts';
import { type BoardParams, boardFor } from '../sensing/board.ts';
import { Bench } from './bench.ts';
import { buildFor } from './build.ts';
import { misfits } from './fit.ts';

/** Longest commissioning [s]. */
const LONGEST_S = 3;
const LOW_GEAR = 1;

export interface CommissionOptions {
  readonly board?: BoardParams;
  readonly seed?: number;
  /** Longest step of the plant [s]. */ readonly h_s?: number;
  /** Largest current of the procedures [A], half the range of the board when absent. */ readonly most_A?: number;
}

export interface Commissioned {
  readonly facts: MotorFacts;
  /** Virtual time that it took [s]. */ readonly virtual_s: number;
  /** Every watch value by its name, the marks of quality too. */ readonly watch: Readonly<Record<string, number>>;
}

/** Measures a motor. Throws Error with the reason that the firmware gives when it gives up, RangeError on bad options. */
export function commission(drill: DrillParams, options: CommissionOptions = {}): Commissioned {
  const { board = boardFor(drill), seed = 1, h_s = 1e-6, most_A } = options;
  // Pole pairs stand on the label of the motor; all else has to be measured.
  const { polePairs } = drill.winding;
  const settings: Partial<CommissionSettings> = most_A === undefined ? { polePairs } : { polePairs, most_A };
  const controller = commissioning(settings, buildFor(drill, board));
  const wrong = misfits(controller.hello, board, drill);
  if (wrong.length > 0) throw new RangeError(`commissioning of ${drill.name}: ${wrong.join('; ')}`);
  const bench = new Bench({ drill, board, seed, h_s, controller });
  const { plant, drive } = bench;
  plant.hands.set('gear', LOW_GEAR);
  plant.hands.set('trigger', 1);
  while (plant.time_s < LONGEST_S && drive.state !== STATE_READY && drive.state !== STATE_TRIPPED) {
    bench.tickOnce();
    const why = bench.controllerLost || plant.fault;
    if (why) throw new Error(`commissioning of ${drill.name}: ${why}`);
  }
  if (drive.state !== STATE_READY) {
    const why = COMMISSION_REASONS[drive.trip] ?? `reason ${drive.trip}`;
    const text = drive.state === STATE_TRIPPED ? why : `not finished after ${LONGEST_S} s`;
    throw new Error(`commissioning of ${drill.name} was given up at ${plant.time_s.toFixed(3)} s: ${text}`);
  }
  return Object.freeze({ facts: factsOf(drive, polePairs), virtual_s: plant.time_s, watch: watchOf(drive) });
}

const known = new Map<string, Commissioned>();

/**
 * The same with the board, seed and current that go with a drill, once for each name of a drill. A drill that a scenario has
 * changed keeps the name of its preset, and the firmware what was measured on that: no factory measures every unit anew.
 */
export function commissioned(drill: DrillParams): Commissioned {
  let found = known.get(drill.name);
  if (found === undefined) {
    found = commission(Object.hasOwn(PRESETS, drill.name) ? PRESETS[drill.name] : drill);
    known.set(drill.name, found);
  }
  return found;
}

function watchOf(drive: Drive): Readonly<Record<string, number>> {
  return Object.freeze(Object.fromEntries(FACT_WATCH.map(({ name }, k) => [name, drive.watch[k]])));
}

function factsOf(drive: Drive, polePairs: number): MotorFacts {
  const w = watchOf(drive);
  return motorFacts({
    polePairs,
    r_ohm: w.resistance,
    deadShare: w['dead time share'],
    ld_H: w['d inductance'],
    lq_H: w['q inductance'],
    satD2: w['d square term'],
    satD3: w['d cube term'],
    satQ3: w['q cube term'],
    satCross: w['cross term'],
    lambda_Wb: w['magnet flux'],
    inertia_kgm2: w.inertia,
    link_ohm: Math.max(0, Math.min(0.5, w['link resistance'])),
    most_A: w['largest current'],
  });
}
