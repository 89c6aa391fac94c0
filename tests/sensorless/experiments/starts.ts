/**
 * Starts from standstill: is north found, how well, how soon is there torque, and does the chuck twitch the wrong way?
 *
 * Angles  spread evenly over an electrical turn. Loads from nothing to what the current limit can just hold, both directions.
 * Error   at the end of the pulses: the tick in which the estimator is first given an angle.
 * Torque  from the moment at which the trigger passes its contact, bounce and power-up of the board included, until the mean
 *         air-gap torque of a millisecond exceeds the friction and cogging of the rotor, in the direction asked for, while the
 *         controller says that it drives: torque that pulses make in looking for the angle is none.
 */
import { slot } from '../../../src/plant/slots.ts';
import { rated_Nm } from '../facts.ts';
import { both, type Conditions, degrees, Rig, travelFor } from '../rig.ts';
import { quantile, type Row, upperLimit } from '../rows.ts';

/** Largest friction and cogging of the rotor: 6 and 9 mN·m of the preset, and some for iron [N·m]. */
const FRICTION_NM = 0.02;
const RUN_S = 0.08;
/** Share of the top speed that is asked for. */
const ASKED = 0.3;

interface Load {
  readonly name: string;
  /** Directions: both, or in only. */ readonly inOnly: boolean;
  readonly put: (rig: Rig) => void;
}

const grip = (share: number): Load => ({
  name: `hand of ${Math.round(100 * share)} % of the rated torque`,
  inOnly: false,
  put: (rig) => rig.plant.hands.set('grip', share * rated_Nm()),
});

export const START_LOADS: readonly Load[] = [
  { name: 'nothing', inOnly: false, put: () => undefined },
  grip(0.3),
  grip(0.7),
  grip(1),
  {
    name: 'a screw half way in',
    inOnly: true,
    put: (rig) => {
      rig.meets('screw');
      rig.plant.hands.placeNew(0.02);
    },
  },
  {
    name: 'a hard test joint at the chuck',
    inOnly: true,
    put: (rig) => {
      rig.meets('joint');
      rig.plant.hands.set('jointSpan', (27 * Math.PI) / 180);
      rig.plant.state[slot('stopAngle')] = rig.plant.read('chuckAngle');
    },
  },
];

export interface Start {
  /** Error of the angle that the pulses gave, electrical; NaN when they gave none [deg]. */ readonly initial_deg: number;
  /** Press to torque; infinite when there was none [s]. */ readonly torque_s: number;
  /** Largest turn of the chuck against the direction asked for [deg]. */ readonly back_deg: number;
  readonly worst_deg: number;
  readonly losses: number;
  readonly trips: number;
}

/** One start. */
export function start(conditions: Conditions, angle_rad: number, seed: number, load: Load, side: 1 | -1): Start {
  const rig = new Rig({ ...conditions, angle_rad, seed });
  const { plant, sensorless } = rig;
  plant.hands.set('direction', side);
  load.put(rig);
  rig.run(0.001);
  const from = plant.read('chuckAngle');
  rig.pull(travelFor(ASKED));
  const ticks_ms = Math.round(1e-3 / plant.period_s);
  const last = new Float64Array(ticks_ms);
  let initial_deg = Number.NaN;
  let torque_s = Number.POSITIVE_INFINITY;
  let back = 0;
  let sum = 0;
  let n = 0;
  let before = 0;
  const span = rig.run(RUN_S, () => {
    if (Number.isNaN(initial_deg) && sensorless?.estimator.weight === 1) {
      const off = (sensorless.estimator.tracker.theta - rig.truth_rad) / (2 * Math.PI);
      initial_deg = 360 * (off - Math.round(off));
    }
    const torque = rig.tracks ? side * plant.read('airGap') : 0;
    sum += torque - last[n % ticks_ms];
    last[n++ % ticks_ms] = torque;
    if (plant.hands.get('trigger') < plant.params.pack.contactCloses) before = n;
    if (torque_s === Number.POSITIVE_INFINITY && sum > FRICTION_NM * ticks_ms) torque_s = (n - before) * plant.period_s;
    back = Math.max(back, side * (from - plant.read('chuckAngle')));
    return undefined;
  });
  return {
    initial_deg,
    torque_s,
    back_deg: degrees(back),
    worst_deg: span.errorWorst_deg,
    losses: span.losses,
    trips: span.trips,
  };
}

/** Starts from `angles` angles at each charge; loads and directions in turn, so that each meets each. */
export function manyStarts(conditions: Conditions, angles: number, charges: readonly number[]): Start[] {
  const list: Start[] = [];
  charges.forEach((charge, c) => {
    for (let k = 0; k < angles; k++) {
      const load = START_LOADS[(k + c) % START_LOADS.length];
      const side = load.inOnly || (Math.floor(k / START_LOADS.length) + c) % 2 === 0 ? 1 : -1;
      const angle = ((k + 0.5) * 2 * Math.PI) / angles;
      const pack = both(conditions, { change: { pack: { charge } } });
      list.push(start(pack, angle, 1 + k + 1000 * c, load, side));
    }
  });
  return list;
}

/** Pack charges: nearly empty, half, full. */
export const CHARGES = [0.05, 0.5, 1];

/** Rows of starts. */
export function startRows(list: readonly Start[], angles: number, charges: readonly number[]): Row[] {
  const n = list.length;
  const how = `${n} starts: ${angles} rotor angles at ${charges.length} pack charges, loads from nothing to rated`;
  const found = list
    .filter(({ initial_deg }) => !Number.isNaN(initial_deg))
    .map(({ initial_deg }) => Math.abs(initial_deg));
  const wrong = found.filter((error) => error > 90).length;
  const most = (of: (s: Start) => number) => Math.max(...list.map(of));
  const count = (of: (s: Start) => boolean) => list.filter(of).length;
  const rows: Row[] = [
    { name: 'polarity errors', value: wrong, unit: '', most: 0, how },
    { name: 'starts that found no angle', value: n - found.length, unit: '', most: 0, how },
    { name: 'initial angle error, 95 % of the starts', value: quantile(found, 0.95), unit: 'deg el', most: 6, how },
    { name: 'initial angle error, worst', value: Math.max(...found), unit: 'deg el', most: 10, how },
    { name: 'chuck turned backwards', value: most((s) => s.back_deg), unit: 'deg', most: 2, how },
    { name: 'press to torque, worst', value: 1e3 * most((s) => s.torque_s), unit: 'ms', most: 30, how },
    { name: 'starts with a loss of lock', value: count((s) => s.losses > 0), unit: '', most: 0, how },
    { name: 'starts with a trip', value: count((s) => s.trips > 0), unit: '', most: 0, how },
    { name: 'angle error in the first 80 ms, worst', value: most((s) => s.worst_deg), unit: 'deg el', how },
  ];
  // Fewer than 299 tries cannot bring the limit below 1 % even without an error.
  const limit = n >= 299 ? { most: 1 } : {};
  const ci = 'upper limit by Clopper and Pearson, one-sided';
  rows.push({
    name: 'share of polarity errors, 95 % limit',
    value: 100 * upperLimit(wrong, n),
    unit: '%',
    ...limit,
    how: `${how}; ${ci}`,
  });
  return rows;
}

export function startsExperiment(conditions: Conditions, angles: number, charges: readonly number[] = CHARGES): Row[] {
  return startRows(manyStarts(conditions, angles, charges), angles, charges);
}
