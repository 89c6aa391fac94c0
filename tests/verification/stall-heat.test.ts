/**
 * A stalled motor under direct current: where the heat goes, by the whole plant.
 *
 * Source  heat balances by hand: copper 3/2 i^2 R20 (1 + 0.00393 (T - 20)), switch i^2 Rds, diode (V + r i) i in the dead
 *         times, edges V (i (tr + tf) / 2 + Q) f; two nodes for the motor, junctions on a common sink for the legs. All of
 *         them are integrated together by npm odex, run live, from nothing but the phase current that the plant shows.
 *
 * One leg carries the whole current and the two others half of it each, one way, forever: at standstill no leg gets a rest.
 * Heat capacities are small and the supply is stiff, so that seconds show what takes minutes.
 */
import { Solver } from 'odex';
import { beforeAll, describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, livePlant, merge, TINY } from '../support/rigs.ts';

const LINK_V = 18;
const LAST_S = 4;
/** Duty of the leg with the whole current and of the two others: some 60 A. */
const DUTY_ONE = 0.545;
const DUTY_HALF = 0.485;
const COPPER_1_K = 0.00393;
const drill = drillWith(
  merge(idealSupply(LINK_V), LOCKED, {
    bridge: { ...BENCH_18.bridge, pwm_Hz: 8000, sink_J_K: 5, shunt_ohm: TINY },
    heat: { winding_J_K: 4, windingHousing_K_W: 0.6, housing_J_K: 30, housingAir_K_W: 4 },
  }),
);
const AIR_K = drill.heat.ambient_K;

interface Stall {
  /** Current of the leg that carries all of it, at every update [A]. */ readonly amps: Float64Array;
  /** Temperatures above the air [K]. */ readonly winding: number;
  readonly housing: number;
  readonly legs: number[];
  readonly sink: number;
  /** Heat in the copper [J]. */ readonly copper: number;
}

/** Direct current through one leg and back through the two others, from cold. */
function stalled(leg: number): Stall {
  // The rotor stands a quarter turn off the current: all of it makes torque.
  const plant = livePlant(drill, 2e-6, (2 * Math.PI * leg) / 3 - Math.PI / 2);
  const duty = [0, 1, 2].map((k) => (k === leg ? DUTY_ONE : DUTY_HALF));
  plant.command(7, duty[0], duty[1], duty[2]);
  const updates = Math.round(LAST_S / plant.period_s);
  const amps = new Float64Array(updates + 1);
  for (let k = 0; k < updates; k++) {
    plant.runPeriod();
    const angle = (2 * Math.PI * leg) / 3;
    amps[k + 1] = Math.cos(angle) * plant.read('iAlpha') + Math.sin(angle) * plant.read('iBeta');
  }
  expect(plant.fault).toBe('');
  return {
    amps,
    winding: plant.read('windingHeat') - AIR_K,
    housing: plant.read('housingHeat') - AIR_K,
    legs: [plant.read('heatA'), plant.read('heatB'), plant.read('heatC')].map((t) => t - AIR_K),
    sink: plant.read('sinkHeat') - AIR_K,
    copper: plant.read('lossCopper'),
  };
}

/** Heat [W] of a leg that carries i one way, its junction at a temperature above the air. */
function legHeat_W(i_A: number, above_K: number): number {
  const b = drill.bridge;
  const dT = AIR_K + above_K - 298.15;
  const rds = b.rds_ohm * (1 + dT * (b.rdsTemp_1_K + dT * b.rdsTemp2_1_K2));
  const dead = 2 * b.deadTime_s * b.pwm_Hz;
  const diode = b.diode_V + b.diodeTemp_V_K * dT + b.diode_ohm * i_A;
  const edges = LINK_V * (0.5 * i_A * (b.rise_s + b.fall_s) + b.recovery_C) * b.pwm_Hz;
  return i_A * i_A * rds * (1 - dead) + diode * i_A * dead + edges;
}

/** Winding, housing, leg with the whole current, leg with half, sink [K above the air] and copper heat [J], by odex. */
function reference(amps: Float64Array): number[] {
  const { heat, bridge, winding } = drill;
  const current = (t_s: number) => {
    const place = Math.min(t_s * bridge.pwm_Hz, amps.length - 1.000001);
    const k = Math.floor(place);
    return amps[k] + (amps[k + 1] - amps[k]) * (place - k);
  };
  const f = (t_s: number, [w, h, one, half, sink]: number[]): number[] => {
    const i = current(t_s);
    const copper = 1.5 * i * i * winding.r_ohm * (1 + COPPER_1_K * (AIR_K + w - 293.15));
    const across = (w - h) / heat.windingHousing_K_W;
    const fromOne = (one - sink) / bridge.junctionSink_K_W;
    const fromHalf = (half - sink) / bridge.junctionSink_K_W;
    return [
      (copper - across) / heat.winding_J_K,
      (across - h / heat.housingAir_K_W) / heat.housing_J_K,
      (legHeat_W(i, one) - fromOne) / bridge.junction_J_K,
      (legHeat_W(i / 2, half) - fromHalf) / bridge.junction_J_K,
      (fromOne + 2 * fromHalf - sink / bridge.sinkAir_K_W) / bridge.sink_J_K,
      copper,
    ];
  };
  const solver = new Solver(6);
  solver.absoluteTolerance = 1e-6;
  solver.relativeTolerance = 1e-6;
  return solver.solve(f, 0, [0, 0, 0, 0, 0, 0], LAST_S).y;
}

describe.each([
  ['A', 0],
  ['B', 1],
  ['C', 2],
] as const)('stall with all the current in leg %s', (_, leg) => {
  let run: Stall;
  let exact: number[];
  beforeAll(() => {
    run = stalled(leg);
    exact = reference(run.amps);
  });

  it('carries some 60 A, less as the copper warms', () => {
    const last = run.amps[run.amps.length - 1];
    const most = Math.max(...run.amps);
    expect(most).toBeGreaterThan(60);
    // Constant voltage; 1.1 of warm copper over cold, which is 8 of the 10 mohm in the way.
    expect(last / most).toBeLessThan(0.93);
    expect(last / most).toBeGreaterThan(0.88);
  });

  it('warms winding and housing as two nodes with R(T) do', () => {
    const [winding, housing, , , , copper] = exact;
    const ripple = 'a ripple of 1.4 A at 60 A adds 5e-5 to the square, a straight line through the rise 3e-5';
    expectNear(run.copper, copper, { abs: 1e-4 * copper, because: ripple });
    expectNear(run.winding, winding, { abs: 1e-4 * winding + 7e-4, because: `${ripple}; half an update of 11 K/s` });
    expectNear(run.housing, housing, { abs: 1e-4 * housing + 7e-4, because: ripple });
  });

  it('heats the leg with the whole current most, by its conduction, diode and switching loss', () => {
    const [, , one, half, sink] = exact;
    const why =
      'one diode threshold at the mean heat of the legs, 5 mV off in 0.8 % of the time: 4e-4; ripple on edges and squares: ' +
      '4e-4, both of the rise over the sink; the sink takes a third of that from each leg';
    expectNear(run.sink, sink, { abs: 2e-4 * sink, because: why });
    run.legs.forEach((t, k) => {
      const expected = k === leg ? one : half;
      expectNear(t, expected, { abs: 1e-3 * (expected - sink) + 2e-4 * sink, because: why });
    });
    // Conduction goes by the square, diode and edges by the first power: the ratio lies between 2 and 4.
    const i = run.amps[run.amps.length - 1];
    const [whole, part] = [legHeat_W(i, one), legHeat_W(i / 2, half)];
    const { sinkAir_K_W, sink_J_K, junction_J_K } = drill.bridge;
    // Everything still warms: that much stays in each junction on the way to the sink.
    const stays = (junction_J_K * (whole + 2 * part - sink / sinkAir_K_W)) / (sink_J_K + 3 * junction_J_K);
    const ratio = (whole - stays) / (part - stays);
    expect(ratio).toBeGreaterThan(3);
    expect(ratio).toBeLessThan(4);
    const over = run.legs.map((t) => t - run.sink);
    for (const k of [1, 2]) {
      expectNear(over[leg] / over[(leg + k) % 3], ratio, { abs: 2e-3 * ratio, because: why });
    }
  });
});
