/**
 * Faults of switches and gate drive, each by the sight that is published for it.
 *
 * Source  open switch: one half-wave is missing, the current has a direct component and its Park vector leaves half of the
 *         plane, torque pulses once a turn: mdpi.com/2032-6653/15/5/204 (abstract read). Shorted switch and short across the
 *         link: Ohm, common practice. Gate: Ron = 1 / (mu Cox W/L (Vgs - Vth)) read on studyx.ai. Dead time: an error of
 *         -sign(i) Vdc t f in each pole, read on docs.rs in essence; its harmonics by the Fourier series of the sign of a
 *         sine, 4 / (n pi) for odd n, of which those divisible by three stay in the star point.
 */
import { describe, expect, it } from 'vitest';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { expectNear } from '../support/near.ts';
import { set } from '../support/rigs.ts';
import {
  driven,
  EMF_V,
  ideal,
  lines,
  loudest,
  mean,
  PERIOD_S,
  put,
  R_OHM,
  type Turn,
  UPDATES,
  VDC,
  WE,
} from './rig.ts';

const DIODES = { diode_V: 0.7, diode_ohm: 0.004, rds_ohm: 0.002, shunt_ohm: 0.0005 };
const LEGS = ['a', 'b', 'c'] as const;
const VQ_V = EMF_V + 1.5;
const sound = driven(ideal({}, DIODES), 0, VQ_V, 3);
const PEAK_A = lines(sound.a)[1];

function faulty(fault: string, leg: 'a' | 'b' | 'c'): Turn {
  const plant = ideal({}, DIODES);
  put(plant, { fault, leg });
  return driven(plant, 0, VQ_V, 4);
}

describe.each([
  ['high-switch-open', 1],
  ['low-switch-open', -1],
] as const)('%s', (fault, side) => {
  it.each(LEGS)('of leg %s: a half-wave is missing, the rest is a direct current, torque pulses once a turn', (leg) => {
    const turn = faulty(fault, leg);
    const current = turn[leg].map((i) => side * i);
    expect(Math.min(...sound[leg])).toBeLessThan(-0.99 * PEAK_A);
    expect(Math.max(...sound[leg])).toBeGreaterThan(0.99 * PEAK_A);
    // What the diode of the other side still lets through ends with the EMF that drives it.
    expect(Math.max(...current)).toBeLessThan(0.05 * PEAK_A);
    expect(Math.min(...current)).toBeLessThan(-0.8 * PEAK_A);
    // A half-wave has a mean of its peak over pi; the broken circuit bends it.
    expect(mean(current)).toBeLessThan(-0.2 * PEAK_A);
    expect(Math.abs(mean(sound[leg]))).toBeLessThan(1e-3 * PEAK_A);
    expect(loudest(turn.torque)).toBe(1);
    expect(lines(turn.torque)[1]).toBeGreaterThan(0.3 * mean(sound.torque));
    expect(lines(sound.torque)[1]).toBeLessThan(1e-3 * mean(sound.torque));
  });

  it('of leg a: the vector of the currents stays in one half of the plane', () => {
    const turn = faulty(fault, 'a');
    const beyond = turn.a.filter((i) => side * i > 0.05 * PEAK_A).length;
    expect(beyond).toBe(0);
    const half = turn.a.filter((i) => Math.abs(i) < 0.05 * PEAK_A).length / UPDATES;
    expectNear(half, 0.5, {
      abs: 0.12,
      because: 'a half turn without current; the lag of L / R moves its ends by some of 256',
    });
  });
});

describe.each([
  ['high-switch-short', 1],
  ['low-switch-short', -1],
] as const)('%s', (fault, side) => {
  it('of leg a: a rotor that coasts is braked by a direct current with pulses', () => {
    const coast = (broken: boolean): { a: number[]; torque: number[] } => {
      const plant = ideal({}, DIODES);
      if (broken) put(plant, { fault, leg: 'a' });
      plant.command(0, 0, 0, 0);
      set(plant, {});
      const turn: { a: number[]; torque: number[] } = { a: [], torque: [] };
      for (let k = 0; k < 4 * UPDATES; k++) {
        plant.runPeriod();
        if (k < 3 * UPDATES) continue;
        turn.a.push(plant.read('iAlpha'));
        turn.torque.push(plant.read('airGap'));
      }
      return turn;
    };
    expect(Math.max(...coast(false).a.map(Math.abs))).toBe(0);
    const { a, torque } = coast(true);
    // High: the other two legs come back through their high diodes, which let current into the link only.
    expect(Math.min(...a.map((i) => side * i))).toBeGreaterThan(-1e-6);
    expect(side * mean(a)).toBeGreaterThan(3);
    expect(mean(torque)).toBeLessThan(0);
    expect(Math.max(...torque) - Math.min(...torque)).toBeGreaterThan(Math.abs(mean(torque)));
  });

  it('of leg b: its partner shorts the link through both switches and the shunt', () => {
    const plant = ideal({ pack: { leads_ohm: 0.05, r0_ohm: 1e-12, r1_ohm: 1e-12, r2_ohm: 1e-12 } }, DIODES, 0);
    put(plant, { fault, leg: 'b' });
    plant.command(2, 0, side > 0 ? 0 : 1, 0);
    set(plant, { capacitor: VDC });
    for (let k = 0; k < 4; k++) plant.runPeriod();
    const before = plant.read('lossSwitch') + plant.read('lossShunt');
    const from_s = plant.time_s;
    for (let k = 0; k < 4; k++) plant.runPeriod();
    const ohm = 2 * DIODES.rds_ohm + DIODES.shunt_ohm;
    const watts = (plant.read('lossSwitch') + plant.read('lossShunt') - before) / (plant.time_s - from_s);
    expectNear(watts, VDC ** 2 / ohm, { abs: 1e-6 * watts, because: 'Ohm: 4 kA out of a link of 1e9 F' });
  });
});

describe('gate supply too low', () => {
  const RDS_OHM = 0.01;
  const GATE = { bridge: { boot_V: 11.5, bootLow_V: 7, gateFull_V: 10, rdsTemp_1_K: 0 } };
  const THRESHOLD_V = 3.5;

  /** Resistance [ohm] from the link through leg a, the winding and the other two legs, leg a on one side for good. */
  function path_ohm(high: boolean, lack_V: number): number {
    const plant = ideal(GATE, { rds_ohm: RDS_OHM }, 0);
    if (lack_V > 0) put(plant, { fault: 'gate-low', leg: 'a', size: lack_V });
    plant.command(7, high ? 1 : 0, high ? 0 : 1, high ? 0 : 1);
    set(plant, { bootA: 11.5 - lack_V });
    for (let k = 0; k < 600; k++) plant.runPeriod();
    return VDC / Math.abs(plant.read('iAlpha'));
  }

  it.each([
    ['low', false, 2.5],
    ['low', false, 4],
    ['high', true, 2.5],
    ['high', true, 4],
  ] as const)('raises the resistance of the %s side as 1 / (Vgs - Vth) (%s, %f V)', (_, high, lack_V) => {
    const more = path_ohm(high, lack_V) - path_ohm(high, 0);
    const gate_V = 11.5 - lack_V;
    expectNear(more / RDS_OHM, (10 - THRESHOLD_V) / (gate_V - THRESHOLD_V) - 1, {
      abs: high ? 0.01 : 1e-4,
      because: 'currents have settled to e^-30; the supply of the high side droops by 100 V/s meanwhile',
    });
  });

  it('below the lock-out the high side drops out', () => {
    const at = (lack_V: number): Plant => {
      const plant = ideal(GATE, { ...DIODES, rds_ohm: RDS_OHM }, 0);
      put(plant, { fault: 'gate-low', leg: 'a', size: lack_V });
      plant.command(7, 0.55, 0.45, 0.45);
      set(plant, {});
      for (let k = 0; k < 600; k++) plant.runPeriod();
      return plant;
    };
    // A tenth of the link over the leg and two others in parallel; switches low or high, whatever the duty.
    const ohm = 1.5 * (R_OHM + RDS_OHM);
    expectNear(at(0).read('iAlpha'), (0.1 * VDC) / ohm, {
      abs: 1,
      because: 'the resistance of the shunts',
    });
    const out = at(6);
    expect(out.read('bootA')).toBeLessThan(7);
    // Where it should drive the others drive into it: its pole is down or floats.
    expect(out.read('iAlpha')).toBeLessThan(0.05);
    expect(out.read('meanA')).toBeLessThan(0.5 * VDC);
  });
});

describe('dead time longer than set', () => {
  const LATE_S = 1e-6;
  const LOST_V = (VDC * LATE_S) / PERIOD_S;
  const LARGE_H = 3e-4;
  /** So much inductance that the currents stay sines whatever the poles do. */
  const SMOOTH = { winding: { ld_H: LARGE_H, lq_H: LARGE_H } };
  const Z1 = Math.hypot(R_OHM, WE * LARGE_H);
  const VQ_SMOOTH_V = EMF_V + 20 * R_OHM;

  function run(...faults: Parameters<typeof put>[1][]): Turn {
    const plant = ideal(SMOOTH, {}, WE);
    if (faults.length > 0) put(plant, ...faults);
    // Near their steady values from the start: the time constant is 6 ms.
    set(plant, { iAlpha: 0, iBeta: 20, psiAlpha: 4e-3, psiBeta: 20 * LARGE_H });
    return driven(plant, -WE * LARGE_H * 20, VQ_SMOOTH_V, 12);
  }

  const clean = run();
  const late = run({ fault: 'dead-time-long', size: LATE_S });

  it('leaves fifth and seventh harmonics of 4 / (n pi) of the lost voltage in the phases, and a sixth in d and q', () => {
    const volts = (turn: Turn) => turn.poles[0].map((v, k) => v - (v + turn.poles[1][k] + turn.poles[2][k]) / 3);
    const because =
      'a current that crosses zero between two of 256 periods shifts a step of the wave by up to one of them';
    for (const n of [5, 7, 11]) {
      expect(lines(volts(clean))[n], `order ${n} without the fault`).toBeLessThan(1e-3 * LOST_V);
      expectNear(lines(volts(late))[n], (4 * LOST_V) / (n * Math.PI), { abs: 0.02 * LOST_V, because });
    }
    expect(lines(volts(late))[3]).toBeLessThan(0.02 * LOST_V);
    for (const axis of ['d', 'q'] as const) {
      expect(loudest(late[axis])).toBe(6);
      expect(lines(late[axis])[6]).toBeGreaterThan(20 * lines(clean[axis])[6]);
    }
    // Fifth backward and seventh forward through the reactance: they add in one axis and cancel in the other.
    const [i5, i7] = [5, 7].map((n) => (4 * LOST_V) / (n * Math.PI) / (n * WE * LARGE_H));
    const sixth = [lines(late.d)[6], lines(late.q)[6]].sort((x, y) => x - y);
    expectNear(sixth[1], i5 + i7, { abs: 0.05 * i5, because });
    expectNear(sixth[0], i5 - i7, { abs: 0.05 * i5, because });
  });

  it('in one leg makes a second harmonic in d and q: a third of its fundamental is a backward voltage', () => {
    const one = run({ fault: 'dead-time-leg', leg: 'b', size: LATE_S });
    // Its fundamental runs backward in a third, its own third harmonic forward: a ninth of that through three times
    // the reactance, so they add in one axis and cancel in the other.
    const first = (4 * LOST_V) / (3 * Math.PI * Z1);
    const [least, most] = [lines(one.d)[2], lines(one.q)[2]].sort((x, y) => x - y);
    const because =
      'a current that crosses zero between two of 256 periods shifts a step of the wave by up to one of them';
    expect(loudest(one.q)).toBe(2);
    expect(loudest(one.d)).toBe(2);
    expectNear(most, (10 / 9) * first, { abs: 0.025 * first, because });
    expectNear(least, (8 / 9) * first, { abs: 0.025 * first, because });
    expect(lines(clean.q)[2]).toBeLessThan(0.01 * lines(one.q)[2]);
  });
});

describe('dead time shorter than set', () => {
  const [FALL_S, DEAD_S] = [0.3e-6, 0.5e-6];
  const OHM = 2 * DIODES.rds_ohm + DIODES.shunt_ohm;

  /** Heat of switches and shunts [W] while all legs switch without load. */
  function idle(...faults: Parameters<typeof put>[1][]): { switches_W: number; shunts_W: number } {
    const plant = ideal({ bridge: { fall_s: FALL_S } }, { ...DIODES, dead_s: DEAD_S }, 0);
    if (faults.length > 0) put(plant, ...faults);
    plant.command(7, 0.5, 0.5, 0.5);
    set(plant, {});
    plant.runPeriod();
    const names = ['lossEdge', 'lossShunt'] as const;
    const from = names.map((name) => plant.read(name));
    for (let k = 0; k < 20; k++) plant.runPeriod();
    const [edge, shunt] = names.map((name, k) => (plant.read(name) - from[k]) / (20 * PERIOD_S));
    return { switches_W: edge, shunts_W: shunt };
  }

  it.each([
    [0.25e-6, 0.05e-6],
    [0.4e-6, 0.2e-6],
    [2e-6, FALL_S],
  ])('by %f s shorts the link twice a period for the %f s that a switch needs more', (size, both_s) => {
    const each = idle({ fault: 'dead-time-leg-short', leg: 'b', size });
    const all = idle({ fault: 'dead-time-short', size });
    // Ohm: 18 V over both switches and the shunt.
    const watts = (2 * (VDC ** 2 / OHM) * both_s) / PERIOD_S;
    const because = 'Ohm on a link of 1e9 F; rounding';
    expectNear(each.switches_W + each.shunts_W, watts, { abs: 1e-6 * watts, because });
    expectNear(all.switches_W + all.shunts_W, 3 * watts, { abs: 3e-6 * watts, because });
    expectNear(all.shunts_W / (all.switches_W + all.shunts_W), DIODES.shunt_ohm / OHM, { abs: 1e-6, because });
  });

  it('does nothing while the rest is longer than a switch needs', () => {
    const { switches_W, shunts_W } = idle({ fault: 'dead-time-short', size: 0.19e-6 });
    expect(switches_W + shunts_W).toBe(0);
  });

  it('warms the switches of a drill without load and takes its power from the pack', () => {
    const run = (size: number): { pack_A: number; warm_K: number; share: number } => {
      const plant = new Plant(BENCH_18, { seed: 3, h_s: 1e-6 });
      plant.hands.set('trigger', 1);
      for (let k = 0; k < 400; k++) plant.runPeriod();
      if (size > 0) put(plant, { fault: 'dead-time-leg-short', leg: 'b', size });
      plant.command(7, 0.5, 0.5, 0.5);
      let charge = 0;
      for (let k = 0; k < 400; k++) {
        plant.runPeriod();
        if (k >= 200) charge += plant.read('packMean') / 200;
      }
      return { pack_A: charge, warm_K: plant.read('heatB') - plant.read('heatA'), share: plant.energy().share };
    };
    const [whole, short] = [run(0), run(0.5e-6)];
    const { rds_ohm, shunt_ohm, fall_s, pwm_Hz } = BENCH_18.bridge;
    // Link over switches, shunt and ESR for 40 ns, twice in 50 us; what flows out of the capacitor comes from the pack.
    const more_A = (20.5 / (2 * rds_ohm + shunt_ohm + BENCH_18.link.esr_ohm)) * 2 * fall_s * pwm_Hz;
    expectNear(short.pack_A - whole.pack_A, more_A, {
      abs: 0.1 * more_A,
      because: 'link of 19 to 21 V, switches some kelvins warmer than at 25 °C',
    });
    // The share of both switches, through one thermal resistance and capacity for 20 ms.
    const { junctionSink_K_W, junction_J_K } = BENCH_18.bridge;
    const watts = (20.5 * more_A * 2 * rds_ohm) / (2 * rds_ohm + shunt_ohm + BENCH_18.link.esr_ohm);
    const warmer_K = watts * junctionSink_K_W * (1 - Math.exp(-0.02 / (junctionSink_K_W * junction_J_K)));
    expectNear(short.warm_K - whole.warm_K, warmer_K, {
      abs: 0.1 * warmer_K,
      because: 'the same link, its square 10 % at most',
    });
    for (const { share } of [whole, short]) expectNear(share, 0, { abs: 1e-6, because: 'bound of the energy audit' });
  });
});
