/**
 * The same screw in both couplings: driven by the whole plant in steps of a microsecond, and by the slow plant in intervals of
 * two milliseconds around another motor. What it asks for hangs on its depth alone, never on who turns it, or how fast.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { Bench } from '../../src/runner/bench.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { AveragedMotor, PACED_MOTOR } from '../support/paced-motor.ts';
import { drillWith } from '../support/rigs.ts';
import { tie } from './rate-split-rig.ts';
import { OPTIONS, sixStep } from './rig.ts';

/** No scatter: the sensors of the whole plant draw from the same seed as the grain, so the wood would differ. */
const EVEN = drillWith({ screw: { scatter: 0 } });
const { screw } = EVEN;
const FROM_M = 0.045;
const TRIGGER = 0.35;
const KEPT = ['screwDepth', 'chuckAngle', 'chuckSpeed', 'loadTorque', 'clampForce'] as const;

interface Driven {
  readonly rows: readonly Record<(typeof KEPT)[number], number>[];
}

function pick(sample: Float64Array): Driven['rows'][number] {
  return Object.fromEntries(KEPT.map((id: SignalId) => [id, sample[SIGNAL_INDEX[id]]])) as Driven['rows'][number];
}

function prepare(plant: Bench['plant'] | Awaited<ReturnType<typeof tie>>['bench']['plant'], trigger: number): void {
  plant.hands.set('meets', LOADS.indexOf('screw'));
  plant.hands.set('gear', 2);
  plant.hands.set('wrist', 0);
  plant.hands.placeNew(FROM_M);
  plant.hands.set('trigger', trigger);
}

function whole(seconds: number): Driven {
  const bench = new Bench({ ...OPTIONS, drill: EVEN, controller: sixStep() });
  prepare(bench.plant, TRIGGER);
  const rows: Driven['rows'][number][] = [];
  for (let k = 0; k < seconds * 20_000; k++) {
    bench.tickOnce();
    if (k % 20 === 0) rows.push(pick(bench.sample));
  }
  return { rows };
}

async function paced(rate_Hz: number, seconds: number, motor: AveragedMotor, trigger = TRIGGER): Promise<Driven> {
  const { bench } = await tie(rate_Hz, undefined, motor, { drill: EVEN });
  prepare(bench.plant, trigger);
  const rows: Driven['rows'][number][] = [];
  for (let k = 0; k < seconds * rate_Hz; k++) {
    await bench.tickOnce();
    rows.push(pick(bench.sample));
  }
  return { rows };
}

/** Value of a signal where the screw passes a depth, by a straight line between two rows. */
function atDepth({ rows }: Driven, id: (typeof KEPT)[number], depth_m: number): number {
  const k = rows.findIndex(({ screwDepth }) => screwDepth >= depth_m);
  const [a, b] = [rows[k - 1], rows[k]];
  return a[id] + ((b[id] - a[id]) * (depth_m - a.screwDepth)) / (b.screwDepth - a.screwDepth);
}

describe('a screw', () => {
  let fast: Driven;
  let slow: Driven;
  beforeAll(async () => {
    fast = whole(0.9);
    slow = await paced(500, 1.2, new AveragedMotor({ limit_A: 50 }));
  }, 240_000);

  it('goes in by its pitch a turn', () => {
    for (const driven of [fast, slow]) {
      const turns = (atDepth(driven, 'chuckAngle', 0.057) - atDepth(driven, 'chuckAngle', 0.048)) / (2 * Math.PI);
      expectNear(turns, 0.009 / screw.pitch_m, { abs: 1e-9, because: 'depth is a straight line over the angle' });
    }
  });

  it('asks for the same torque at the same depth', () => {
    for (const depth_m of [0.048, 0.052, 0.056, 0.0575, 0.0582, 0.0585]) {
      const because =
        'an interval of 2 ms turns the chuck by 0.09 rad; a mean over it lies half of that behind the row, or 18 um of depth';
      const slope_Nm_m = depth_m < screw.seat_m ? 0 : screw.clamp_N_m * LEVER_IN_M;
      expectNear(atDepth(slow, 'loadTorque', depth_m), atDepth(fast, 'loadTorque', depth_m), {
        abs: 1e-9 + 25e-6 * slope_Nm_m,
        because,
      });
    }
  });

  it('clamps alike at the same depth', () => {
    for (const depth_m of [0.0582, 0.0585]) {
      const because = 'clamp force is a function of depth: exact but for rounding';
      expectNear(atDepth(slow, 'clampForce', depth_m), atDepth(fast, 'clampForce', depth_m), { abs: 1e-5, because });
    }
  });

  it('seats in both', () => {
    for (const { rows } of [fast, slow]) {
      const last = rows[rows.length - 1];
      expect(last.screwDepth).toBeGreaterThan(screw.seat_m);
      expect(last.clampForce).toBeGreaterThan(1000);
    }
    expect(slow.rows[slow.rows.length - 1].chuckSpeed).toBe(0);
  });

  it('is driven as deep as torque and motion of the motor reach, and holds there', async () => {
    // A speed loop so stiff that the speed stays until the motor has no more torque.
    const limit_A = 30;
    const stiff = new AveragedMotor({ limit_A, kp_A_s_rad: 10, ki_A_rad: 0 });
    const { rows } = await paced(500, 2.5, stiff, 0.2);
    const end = rows[rows.length - 1];
    expect(end.chuckSpeed).toBe(0);
    const ratio = 4 * 3.5;
    const stage = (i0: number) => (1 + i0 * 0.945) / (1 + i0);
    const efficiency = stage(3) * stage(2.5);
    const { k_Nm_A, friction_Nm, full_rad_s } = PACED_MOTOR;
    const most_Nm = (limit_A * k_Nm_A - friction_Nm) * ratio * efficiency - BENCH_18.shaft.chuckFriction_Nm;
    // From there on a dry spring against a constant torque: a swing of its own, sqrt(k J w^2 efficiency), and it holds.
    const rate_Nm_rad = (screw.clamp_N_m * LEVER_IN_M * screw.pitch_m) / (2 * Math.PI);
    const inertia = BENCH_18.shaft.chuck_kgm2 + PACED_MOTOR.rotor_kgm2 * ratio ** 2;
    const speed_rad_s = ((full_rad_s / ratio) * (0.2 - 0.05)) / 0.95;
    const swing_Nm = Math.sqrt(rate_Nm_rad * inertia * speed_rad_s ** 2 * efficiency);
    const because =
      'at its limit the loop lets the speed sag by 30 A / 10 A s/rad, 1 % of it, and the swing with it; the limit is met ' +
      'within an interval; the square of the interval over the period of the swing is 0.2 %';
    const thread_Nm = screw.tip_Nm + screw.thread_Nm_m * screw.fullThread_m;
    const holds_Nm = thread_Nm + end.clampForce * LEVER_IN_M;
    expectNear(holds_Nm, most_Nm + swing_Nm, { abs: 0.02 * swing_Nm, because });
  });
});

/** Power screw, tightening, and head (from memory): r (tan rho + tan phi) / (1 - tan rho tan phi) + rh mu. */
const TAN_RHO = screw.friction / Math.cos(screw.halfFlank_rad);
const TAN_PHI = screw.pitch_m / (2 * Math.PI) / screw.threadRadius_m;
const LEVER_IN_M =
  (screw.threadRadius_m * (TAN_RHO + TAN_PHI)) / (1 - TAN_RHO * TAN_PHI) + screw.headRadius_m * screw.headFriction;
