/**
 * Screws and a test joint: what the drill is for.
 *
 * Screw   a 5 x 60 in the high gear: slowly for the first 10 mm, then trigger to the end, until the clutch slips or the controller
 *         holds a stall; the finger lets go. Then out again, clutch locked. Depth and thread are read from the plant.
 * Current the one that the controller itself sees, in windows of depth at full speed: the thread asks for more the deeper it is.
 * Joint   tightened once by the stall at a lowered current limit and once by the clutch; the torque is what the joint kept: its
 *         rate times the furthest turn. Scatter is six deviations over the mean, as ISO 5393 has it (from memory).
 */
import { slot } from '../../../src/plant/slots.ts';
import { STATE_STALLED } from '../../../src/protocol/frames.ts';
import { both, type Conditions, Rig, travelFor } from '../rig.ts';
import { deviation, mean, type Row } from '../rows.ts';

/** Clutch setting for the screws: 3.5 N·m. */
const SCREW_CLUTCH = 7;
const SLOW_UNTIL_M = 0.01;
const SLOW_SHARE = 0.15;
/** Turn of the slipping clutch at which the finger lets go [rad]. */
const SLIPPED_RAD = 0.5;
const WINDOWS_M = [
  [0.018, 0.022],
  [0.031, 0.035],
] as const;

interface Screw {
  readonly depth_m: number;
  readonly stripped: number;
  readonly out_m: number;
  readonly rise: number;
  readonly bad: number;
}

function seatAndTakeOut(rig: Rig): Screw {
  const { plant } = rig;
  let bad = 0;
  const run = (most_s: number, done: () => boolean) => {
    const span = rig.run(most_s, done);
    bad += span.losses + span.trips;
  };
  const depth = () => plant.read('depth');
  plant.hands.placeNew(0);
  plant.hands.set('direction', 1);
  plant.hands.set('clutch', SCREW_CLUTCH);
  rig.pull(travelFor(SLOW_SHARE));
  run(3, () => depth() > SLOW_UNTIL_M);
  rig.pull(1);
  const slip = plant.read('slipAngle');
  const sum = [0, 0];
  const count = [0, 0];
  run(4, () => {
    WINDOWS_M.forEach(([from, to], k) => {
      if (depth() < from || depth() > to) return;
      sum[k] += Math.abs(rig.drive.watch[3]);
      count[k]++;
    });
    return Math.abs(plant.read('slipAngle') - slip) > SLIPPED_RAD || rig.drive.state === STATE_STALLED;
  });
  rig.pull(0);
  run(0.5, () => false);
  const seated = depth();
  plant.hands.set('direction', -1);
  plant.hands.set('clutch', 0);
  rig.pull(travelFor(SLOW_SHARE));
  run(1, () => depth() < seated - 0.003);
  rig.pull(1);
  run(4, () => depth() <= 0);
  const out_m = depth();
  rig.pull(0);
  run(0.5, () => false);
  return {
    depth_m: seated,
    stripped: plant.read('stripped'),
    out_m,
    rise: sum[1] / count[1] / (sum[0] / count[0]),
    bad,
  };
}

export function screwRows(conditions: Conditions, screws: number): Row[] {
  const rig = new Rig({ ...conditions, seed: 81 });
  rig.meets('screw');
  rig.run(0.01);
  const list = Array.from({ length: screws }, () => seatAndTakeOut(rig));
  const seat = rig.plant.params.screw.seat_m;
  const how = `${screws} screws one after the other in the high gear, clutch at 3.5 N·m, slowly for 10 mm, then full trigger`;
  const under = list.map(({ depth_m }) => 1e3 * (depth_m - seat));
  const most = (of: (s: Screw) => number) => Math.max(...list.map(of));
  return [
    { name: 'screws: head above the seat, worst', value: -Math.min(...under), unit: 'mm', most: 0, how },
    { name: 'screws: head below first touch, worst', value: Math.max(...under), unit: 'mm', most: 1, how },
    { name: 'screws: threads stripped', value: list.filter((s) => s.stripped > 0).length, unit: '', most: 0, how },
    {
      name: 'screws: left in the wood when taken out, worst',
      value: 1e3 * most((s) => s.out_m),
      unit: 'mm',
      most: 0,
      how,
    },
    {
      name: 'screws: current at 33 mm over that at 20 mm, least',
      value: Math.min(...list.map((s) => s.rise)),
      unit: '',
      least: 1.2,
      how,
    },
    { name: 'screws: losses of lock and trips', value: list.reduce((n, s) => n + s.bad, 0), unit: '', most: 0, how },
  ];
}

interface Tightening {
  readonly torque_Nm: number;
  readonly bad: number;
}

/** Tightens the joint once and says what it kept. */
function tighten(conditions: Conditions, seed: number, span_rad: number, clutch: number, share: number): Tightening {
  const rig = new Rig({ ...conditions, seed });
  const { plant } = rig;
  rig.meets('joint');
  plant.hands.set('jointSpan', span_rad);
  plant.hands.set('clutch', clutch);
  rig.run(0.01);
  rig.pull(travelFor(share));
  const slip = plant.read('slipAngle');
  let furthest = plant.read('chuckAngle');
  const span = rig.run(3, () => {
    furthest = Math.max(furthest, plant.read('chuckAngle'));
    return Math.abs(plant.read('slipAngle') - slip) > SLIPPED_RAD || rig.drive.state === STATE_STALLED;
  });
  const rate = (0.9 * plant.params.joint.full_Nm) / span_rad;
  return {
    torque_Nm: rate * (furthest - plant.state[slot('stopAngle')]),
    bad: span.losses + span.trips,
  };
}

const DEGREE = Math.PI / 180;
/** Soft and hard joint: turn from 10 to 100 % of the torque. */
export const JOINTS = [
  ['soft', 324 * DEGREE],
  ['hard', 27 * DEGREE],
] as const;
/** Lowered current limit for the joint [A], and setting of the clutch, 2.5 N·m. */
const LIMIT_A = 30;
const JOINT_CLUTCH = 5;
const JOINT_SHARE = 0.1;

export function jointRows(
  conditions: Conditions,
  seeds: number,
  joints: readonly (readonly [string, number])[] = JOINTS,
): Row[] {
  const rows: Row[] = [];
  let bad = 0;
  const add = (name: string, how: string, most: number, one: (seed: number) => Tightening) => {
    const list = Array.from({ length: seeds }, (_, k) => one(90 + k));
    const torques = list.map(({ torque_Nm }) => torque_Nm);
    bad += list.reduce((n, t) => n + t.bad, 0);
    const scatter = (600 * deviation(torques)) / mean(torques);
    rows.push({ name: `joint: torque, ${name}`, value: mean(torques), unit: 'N·m', how });
    rows.push({ name: `joint: scatter of the torque, ${name}`, value: scatter, unit: '%', most, how });
  };
  for (const [joint, span] of joints) {
    const limited = both(conditions, { facts: { most_A: LIMIT_A } });
    const slow = `${seeds} seeds and rotor angles, ${100 * JOINT_SHARE} % of full speed, six deviations over the mean`;
    add(`${joint}, by the current limit`, `limit of ${LIMIT_A} A; ${slow}`, 15, (seed) =>
      tighten(limited, seed, span, 0, JOINT_SHARE),
    );
    add(`${joint}, by the clutch`, `clutch at 2.5 N·m; ${slow}`, 15, (seed) =>
      tighten(conditions, seed, span, JOINT_CLUTCH, JOINT_SHARE),
    );
  }
  const how = `${2 * joints.length * seeds} tightenings`;
  rows.push({ name: 'joint: losses of lock and trips', value: bad, unit: '', most: 0, how });
  return rows;
}
