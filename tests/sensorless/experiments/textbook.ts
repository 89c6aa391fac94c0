/**
 * Where textbooks say that it must fail, it fails, and by as much.
 *
 * Polarity   comes from saturation that is odd in the flux. A winding without the square and the cross term of the map is still an
 *            inductor that saturates, the same either way: pulses must refuse, and what they would have said is a coin toss.
 * Dead time  leaves a sixth harmonic of the current in the rotor frame: 12/35 and 2/35 of the mean voltage along d and q over the
 *            reactance at six times the speed (closed form of the switched error; resistance and current loop left out). EMF
 *            harmonics and cogging, which make one too, are taken away from the motor.
 * Angle      torque at a given current goes with the cosine of the error; at 90 degrees there is none. The reluctance torque of
 *            1.5 p (Ld - Lq) id iq bends the curve in between.
 * Delay      a command acts one and a half periods after its sample: sent ahead by less, the voltage lags by that much turn.
 * Source     Jeong, Park, IEEE Trans. Ind. Electron. 38(2), 1991; Bae, Sul, IEEE Trans. Ind. Appl. 39(3), 2003 (from memory).
 */
import { USUAL_BUILD } from '../../../src/control/settings.ts';
import { SMOOTH } from '../../support/rigs.ts';
import { KnownAngle, PulseProbe } from '../bare-controllers.ts';
import { factsOf } from '../facts.ts';
import { both, type Conditions, degrees, fullSpeed_rad_s, Rig, travelFor } from '../rig.ts';
import { quantile, type Row, upperLimit } from '../rows.ts';

const TURN = 2 * Math.PI;
/** An even map: only terms that are the same for either sign of the d flux. */
export const NO_POLARITY: Conditions = { change: { winding: { satD2: 0, satCross: 0 } } };

/** Difference of two angles in degrees, -180 to 180. */
function apart_deg(a_rad: number, b_rad: number): number {
  const turns = (a_rad - b_rad) / TURN;
  return 360 * (turns - Math.round(turns));
}

export function polarityRows(angles: number): Row[] {
  let [refused, wrong, started, wrongStarts] = [0, 0, 0, 0];
  const axis: number[] = [];
  for (let k = 0; k < angles; k++) {
    const angle_rad = ((k + 0.5) * TURN) / angles;
    const probe = new PulseProbe(factsOf(), USUAL_BUILD);
    const rig = new Rig({ ...NO_POLARITY, controller: probe, angle_rad, seed: 200 + k });
    rig.pull(0.3);
    rig.run(0.06, () => probe.result !== 0);
    if (probe.refused) refused++;
    const off = Math.abs(apart_deg(probe.pulses.theta, rig.truth_rad));
    if (off > 90) wrong++;
    axis.push(Math.min(off, 180 - off));
    const whole = new Rig({ ...NO_POLARITY, angle_rad, seed: 200 + k });
    whole.pull(0.3);
    let error = Number.NaN;
    whole.run(0.06, () => {
      const { estimator } = whole.sensorless!;
      if (estimator.weight !== 1 || !Number.isNaN(error)) return undefined;
      error = Math.abs(apart_deg(estimator.tracker.theta, whole.truth_rad));
      return undefined;
    });
    if (!Number.isNaN(error)) started++;
    if (error > 90) wrongStarts++;
  }
  const how = `${angles} rotor angles, winding that saturates alike either way`;
  return [
    {
      name: 'no odd saturation: starts that the controller refuses',
      value: (100 * refused) / angles,
      unit: '%',
      least: 100,
      how,
    },
    { name: 'no odd saturation: starts with an angle', value: started, unit: '', most: 0, how },
    { name: 'no odd saturation: starts the wrong way round', value: wrongStarts, unit: '', most: 0, how },
    // Half of them, by as much as a fair coin may miss it in one of a hundred series (2.6 deviations).
    {
      name: 'no odd saturation: north that the refused pulses would have said, wrong',
      value: (100 * wrong) / angles,
      unit: '%',
      least: 50 - 130 / Math.sqrt(angles),
      most: 50 + 130 / Math.sqrt(angles),
      how,
    },
    { name: 'no odd saturation: the same, 95 % limit', value: 100 * upperLimit(wrong, angles), unit: '%', how },
    { name: 'no odd saturation: axis found, error of 95 %', value: quantile(axis, 0.95), unit: 'deg el', how },
  ];
}

const SIXTH_W = 1700;
const SIXTH_HAND_NM = 3;

/** Amplitude of the sixth harmonic of the current in the rotor frame [A], both axes together. */
function sixth_A(conditions: Conditions): { amplitude_A: number; w_rad_s: number } {
  const rig = new Rig({ ...both({ change: { winding: SMOOTH } }, conditions), seed: 210, angle_rad: 0.4 });
  const { plant } = rig;
  rig.pull(travelFor(SIXTH_W / (plant.params.winding.polePairs * fullSpeed_rad_s({}))));
  rig.run(0.3);
  plant.hands.set('grip', SIXTH_HAND_NM);
  rig.run(0.4);
  const from = rig.truth_rad;
  const sums = [0, 0, 0, 0];
  let n = 0;
  const span = rig.run(0.4, () => {
    const angle = plant.read('rotorAngle') * plant.params.winding.polePairs;
    const id = plant.read('cos') * plant.read('iAlpha') + plant.read('sin') * plant.read('iBeta');
    const iq = rig.iq_A;
    const c = Math.cos(6 * angle);
    const s = Math.sin(6 * angle);
    sums[0] += id * c;
    sums[1] += id * s;
    sums[2] += iq * c;
    sums[3] += iq * s;
    n++;
    // Whole turns only: after 100 of them.
    return angle - from > 100 * TURN;
  });
  const amplitude_A = (2 / n) * Math.sqrt(sums.reduce((total, part) => total + part * part, 0));
  return { amplitude_A, w_rad_s: span.speed_rad_s * plant.params.winding.polePairs };
}

export function deadTimeRows(): Row[] {
  const kept = sixth_A({});
  const without = sixth_A({ facts: { deadShare: 0 } });
  const { deadShare, ld_H, lq_H } = factsOf();
  const how = `sixth harmonic of the current, ${Math.round(without.w_rad_s)} rad/s electrical, hand of ${SIXTH_HAND_NM} N·m`;
  // Mean voltage of the square that dead time puts on a phase, and its sixth in the rotor frame over the reactance.
  const mean_V = (4 / Math.PI) * deadShare * 20;
  const d = ((12 / 35) * mean_V) / (6 * without.w_rad_s * ld_H);
  const q = ((2 / 35) * mean_V) / (6 * without.w_rad_s * lq_H);
  return [
    { name: 'dead time compensated: sixth harmonic', value: kept.amplitude_A, unit: 'A', how },
    { name: 'dead time not compensated: sixth harmonic', value: without.amplitude_A, unit: 'A', how },
    { name: 'dead time not compensated: closed form', value: Math.sqrt(d * d + q * q), unit: 'A', how },
    {
      name: 'sixth harmonic without over with compensation',
      value: without.amplitude_A / kept.amplitude_A,
      unit: '',
      least: 2,
      how,
    },
  ];
}

/** A rig with the true angle handed to the bare loop before each tick. */
function knownRig(
  conditions: Conditions,
  seed: number,
): { rig: Rig; bare: KnownAngle; run: (s: number, each?: () => void) => void } {
  const bare = new KnownAngle(factsOf(), USUAL_BUILD);
  const rig = new Rig({ ...conditions, controller: bare, seed, angle_rad: 1 });
  const { plant } = rig;
  const p = plant.params.winding.polePairs;
  const run = (span_s: number, each?: () => void) => {
    for (let k = 0; k < Math.round(span_s / plant.period_s); k++) {
      bare.theta_rad = p * plant.read('rotorAngle');
      bare.w_rad_s = p * plant.read('rotorSpeed');
      rig.tick();
      each?.();
    }
  };
  rig.pull(0.5);
  return { rig, bare, run };
}

const WRONG_A = 40;

/** Torque of 40 A at angles that are wrong by so many degrees; chuck blocked. */
export function wrongAngle_Nm(error_deg: number): number {
  const { rig, bare, run } = knownRig({ change: { winding: SMOOTH } }, 220);
  rig.plant.hands.set('grip', 100);
  bare.error_rad = (error_deg * Math.PI) / 180;
  run(0.02);
  bare.iq_A = WRONG_A;
  run(0.15);
  let sum = 0;
  let n = 0;
  run(0.05, () => {
    sum += rig.plant.read('airGap');
    n++;
  });
  return sum / n;
}

export function wrongAngleRows(): Row[] {
  const right = wrongAngle_Nm(0);
  const how = `current loop with the true angle plus an error, ${WRONG_A} A, chuck blocked`;
  return [
    { name: 'torque of the right angle', value: right, unit: 'N·m', how },
    {
      name: 'torque 60 degrees off, of that of the right angle',
      value: (100 * wrongAngle_Nm(60)) / right,
      unit: '%',
      least: 44,
      most: 56,
      how,
    },
    {
      name: 'torque 90 degrees off, of that of the right angle',
      value: (100 * wrongAngle_Nm(90)) / right,
      unit: '%',
      least: -3,
      most: 3,
      how,
    },
    {
      name: 'torque 120 degrees off, of that of the right angle',
      value: (100 * wrongAngle_Nm(120)) / right,
      unit: '%',
      least: -56,
      most: -44,
      how,
    },
  ];
}

interface Delay {
  readonly w_rad_s: number;
  /** Angle by which the voltage made lags the one meant [deg]. */ readonly lag_deg: number;
  /** Angle by which the current sets out beside the step that was asked for [deg]. */ readonly beside_deg: number;
}

const STEP_A = 15;
const STEPS = 20;
const REST_TICKS = 20;
/** Periods of the answer that are looked at: in the first one the loop has not yet corrected what went beside. */
const FIRST_TICKS = 1;
const TOP_W = 8400;

export function delayAt(ahead_ticks: number): Delay {
  const { rig, bare, run } = knownRig({ change: { winding: SMOOTH, pack: { charge: 1 } } }, 230);
  const { plant } = rig;
  run(0.02);
  bare.iq_A = 15;
  for (let k = 0; k < 400 && bare.w_rad_s < TOP_W; k++) run(0.001);
  bare.iq_A = 2;
  run(0.02);
  bare.ahead_ticks = ahead_ticks;
  run(0.02);
  // Voltage meant by the command before the last, against the one that the bridge made in this period.
  let [lag, n, ud, uq] = [0, 0, 0, 0];
  run(0.01, () => {
    const [a, b, c] = [plant.read('meanA'), plant.read('meanB'), plant.read('meanC')];
    const alpha = (2 * a - b - c) / 3;
    const beta = (b - c) / Math.sqrt(3);
    const made = Math.atan2(beta, alpha) - (rig.truth_rad + 0.5 * bare.w_rad_s * plant.period_s);
    if (n++ > 0) lag -= apart_deg(made, Math.atan2(uq, ud));
    ud = bare.ud_V;
    uq = bare.uq_V;
  });
  // Steps along d, there and back: where does the current go in the first period after each has reached the winding?
  const sum = [0, 0];
  for (let k = 0; k < STEPS; k++) {
    const sign = k % 2 === 0 ? -1 : 1;
    const rest = [0, 0];
    run(REST_TICKS * plant.period_s, () => addDq(rig, rest, 1 / REST_TICKS));
    bare.id_A = sign < 0 ? -STEP_A : 0;
    run(plant.period_s);
    run(FIRST_TICKS * plant.period_s, () => addDq(rig, sum, sign));
    sum[0] -= FIRST_TICKS * sign * rest[0];
    sum[1] -= FIRST_TICKS * sign * rest[1];
    run(0.003);
  }
  return { w_rad_s: bare.w_rad_s, lag_deg: lag / (n - 1), beside_deg: degrees(Math.atan2(sum[1], sum[0])) };
}

/** Adds the current in the rotor frame, truth, times a factor. */
function addDq(rig: Rig, sum: number[], factor: number): void {
  const { plant } = rig;
  const d = plant.read('cos') * plant.read('iAlpha') + plant.read('sin') * plant.read('iBeta');
  sum[0] += factor * d;
  sum[1] += factor * rig.iq_A;
}

export function delayRows(): Row[] {
  const good = delayAt(1.5);
  const bad = delayAt(0);
  const how = `current loop with the true angle at ${Math.round(good.w_rad_s)} rad/s electrical, step of ${STEP_A} A along d`;
  const expected = degrees(1.5 * bad.w_rad_s * 5e-5);
  return [
    { name: 'delay compensated: lag of the voltage', value: good.lag_deg, unit: 'deg', least: -2, most: 2, how },
    {
      name: 'delay not compensated: lag of the voltage',
      value: bad.lag_deg,
      unit: 'deg',
      least: expected - 2,
      most: expected + 2,
      how,
    },
    {
      name: 'delay compensated: current sets out beside the step',
      value: good.beside_deg,
      unit: 'deg',
      least: -5,
      most: 5,
      how,
    },
    {
      name: 'delay not compensated: current sets out beside the step',
      value: bad.beside_deg,
      unit: 'deg',
      least: -expected - 5,
      most: 5 - expected,
      how,
    },
  ];
}

export function textbookRows(angles: number): Row[] {
  return [...polarityRows(angles), ...deadTimeRows(), ...wrongAngleRows(), ...delayRows()];
}
