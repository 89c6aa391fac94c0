/**
 * Faults of the motor and its wires, each by the sight that is published for it.
 *
 * Source  three sources behind impedances on one star point: Millman's theorem (from memory). Symmetrical components:
 *         Fortescue 1918 (from memory); a backward current of the phases is a line at twice the electrical frequency in d
 *         and q. Torque T = 1.5 p flux iq and no-load speed V / (p flux): Krause, Wasynczuk, Sudhoff, Analysis of Electric
 *         Machinery and Drive Systems, 2002 (bibliography read, text not). Copper 0.393 %/K at 20 °C: IEC 60028 (from
 *         memory); magnets -0.09 to -0.12 %/K read on advancedmagnets.com.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { currentPerCount_A, currentZero_counts } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { POLE_PAIRS } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { PLAIN_BOARD } from '../support/plain-board.ts';
import { drillWith, livePlant, merge, set } from '../support/rigs.ts';
import {
  driven,
  duties,
  EMF_V,
  FLUX_WB,
  ideal,
  L_H,
  lines,
  loudest,
  mean,
  PERIOD_S,
  put,
  R_OHM,
  type Turn,
  UPDATES,
  usual,
  VDC,
  WE,
} from './rig.ts';

type Complex = readonly [number, number];
const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];
const over = (x: Complex, [c, d]: Complex): Complex => {
  const size = c * c + d * d;
  return times(x, [c / size, -d / size]);
};
const plus = (...list: readonly Complex[]): Complex => list.reduce(([a, b], [c, d]) => [a + c, b + d], [0, 0]);
const minus = (x: Complex, [c, d]: Complex): Complex => plus(x, [-c, -d]);
const around = (angle: number): Complex => [Math.cos(angle), Math.sin(angle)];
const THIRD = (2 * Math.PI) / 3;

/** More than the EMF on q: the motor drives. 18 time constants of L / R in the turns before the last. */
const VQ_V = EMF_V + 1;
const TURNS = 3;
const whole = driven(ideal(), 0, VQ_V, TURNS);
const LENGTH_A = Math.hypot(mean(whole.d), mean(whole.q));
const because =
  'a vector held for a period is (w T)^2/24 = 2e-5 short; pulses in its middle act as (R T/L)^2/100 = 3e-5 less';

/** Phase currents of Millman's theorem for resistances of the phases: positive and negative sequence [A]. */
function sequences(ohm: readonly number[]): { forward: number; backward: number } {
  const y = ohm.map((r): Complex => over([1, 0], [r, WE * L_H]));
  const drive = [0, 1, 2].map((k): Complex => times([VQ_V - EMF_V, 0], around(-k * THIRD)));
  const star = over(plus(...y.map((admittance, k) => times(drive[k], admittance))), plus(...y));
  const i = y.map((admittance, k) => times(minus(drive[k], star), admittance));
  const sequence = (way: number): number => {
    const [re, im] = plus(...i.map((current, k) => times(current, around(way * k * THIRD))));
    return Math.hypot(re, im) / 3;
  };
  return { forward: sequence(1), backward: sequence(-1) };
}

/** Backward current from its line at twice the electrical frequency: d and q swing alike, a quarter apart. */
function backward_A(turn: Turn): number {
  expectNear(lines(turn.d)[2], lines(turn.q)[2], { abs: 1e-4 * LENGTH_A, because });
  return lines(turn.q)[2];
}

describe('a whole motor', () => {
  it('carries the current of one branch, the same in all phases, and no line in d and q', () => {
    expectNear(LENGTH_A, (VQ_V - EMF_V) / Math.hypot(R_OHM, WE * L_H), { abs: 1e-4 * LENGTH_A, because });
    for (let n = 1; n < 20; n++) expect(lines(whole.q)[n], `line ${n}`).toBeLessThan(1e-4 * LENGTH_A);
  });
});

describe('bad joint in a phase', () => {
  it.each([
    ['a', 0.01],
    ['b', 0.05],
    ['c', 0.2],
  ] as const)('of leg %s with %f ohm: a second harmonic in d and q, as large as the backward current', (leg, ohm) => {
    const plant = ideal();
    put(plant, { fault: 'phase-resistance', leg, size: ohm });
    const turn = driven(plant, 0, VQ_V, 4);
    const phases = [R_OHM, R_OHM, R_OHM];
    phases['abc'.indexOf(leg)] += ohm;
    const { forward, backward } = sequences(phases);
    expectNear(backward_A(turn), backward, { abs: 1e-4 * LENGTH_A, because });
    expectNear(Math.hypot(mean(turn.d), mean(turn.q)), forward, { abs: 1e-4 * LENGTH_A, because });
    expect(loudest(turn.q)).toBe(2);
  });

  it('dissipates its own heat, and the board sees the voltage before it', () => {
    const ohm = 0.1;
    const plant = ideal();
    put(plant, { fault: 'phase-resistance', leg: 'a', size: ohm });
    driven(plant, 0, VQ_V, 4);
    const [from_J, from_s] = [plant.read('lossFault'), plant.time_s];
    let square = 0;
    for (let k = 0; k < UPDATES; k++) {
      const duty = plant.read('dutyA');
      const next = plant.tick + 1;
      while (plant.tick < next) {
        const [before_A, before_s] = [plant.read('iAlpha'), plant.time_s];
        plant.step();
        square += (plant.time_s - before_s) * (0.5 * (before_A + plant.read('iAlpha'))) ** 2;
      }
      expectNear(plant.read('meanA'), duty * VDC, {
        abs: 2e-3,
        because: 'between two edges the current is taken for a straight line: (R T / L)^2 / 12 of 10 A through 0.1 ohm',
      });
      const angle = WE * (plant.time_s + 0.5 * PERIOD_S);
      plant.command(7, ...duties(-Math.sin(angle) * VQ_V, Math.cos(angle) * VQ_V));
    }
    expect(plant.time_s - from_s).toBeGreaterThan(0.0127);
    const because = 'the mean current of a step is taken in its rotor frame, which turns by 5e-4 rad: 1e-7 of it';
    expectNear(plant.read('lossFault') - from_J, ohm * square, { abs: 1e-8, because });
  });
});

describe('phase wire open', () => {
  it('one current is zero, the other two are opposite, torque swings twice a turn, to zero and below', () => {
    const plant = ideal();
    put(plant, { fault: 'phase-open', leg: 'a' });
    const turn = driven(plant, 0, VQ_V, 4);
    turn.a.forEach((i, k) => {
      expectNear(i, 0, { abs: 1e-9, because: 'a multiplier holds it at zero; rounding' });
      expectNear(turn.b[k], -turn.c[k], { abs: 1e-9, because: 'Kirchhoff; rounding' });
    });
    // Two branches in series on the line voltage.
    const peak = (Math.sqrt(3) * (VQ_V - EMF_V)) / (2 * Math.hypot(R_OHM, WE * L_H));
    expectNear(lines(turn.b)[1], peak, { abs: 1e-4 * LENGTH_A, because });
    // e i over the speed of the rotor, both sines: swing by half of the product of the peaks, mean by its cosine.
    const swing = (Math.sqrt(3) * EMF_V * peak * POLE_PAIRS) / (2 * WE);
    // The torque is the mean of the last step, in which the EMF alone drives: 3.4 V / 100 uH for half of 1 us.
    const bound = { abs: 2e-3 * swing, because: '17 mA of 16 A' };
    expectNear(lines(turn.torque)[2], swing, bound);
    expectNear(mean(turn.torque), (swing * R_OHM) / Math.hypot(R_OHM, WE * L_H), bound);
    expect(loudest(turn.torque)).toBe(2);
  });
});

describe('phases swapped', () => {
  it.each(['phases-ab-swapped', 'phases-bc-swapped', 'phases-ac-swapped'])(
    '%s: d and q swing at twice the electrical frequency, and nothing drives on the mean',
    (fault) => {
      const plant = ideal();
      put(plant, { fault });
      const turn = driven(plant, 0, VQ_V, 4);
      // The mirrored vector is a backward voltage; the EMF meets the bridge as a short circuit.
      const z = Math.hypot(R_OHM, WE * L_H);
      expectNear(backward_A(turn), VQ_V / z, { abs: 1e-4 * (VQ_V / z), because });
      expectNear(Math.hypot(mean(turn.d), mean(turn.q)), EMF_V / z, { abs: 1e-4 * (VQ_V / z), because });
      expect(loudest(turn.torque)).toBe(2);
      expect(mean(turn.torque)).toBeLessThan(0);
    },
  );
});

describe('phase shorted to minus', () => {
  const SIEMENS = usual('phase-to-minus');

  it('draws the link voltage over its resistance while the high side is on, past the shunt', () => {
    const rds_ohm = 0.002;
    const plant = ideal({}, { rds_ohm, shunt_ohm: 0.0005 }, 0);
    put(plant, { fault: 'phase-to-minus', leg: 'a', size: SIEMENS });
    // The other legs are off: nothing but the short carries current.
    plant.command(1, 1, 0, 0);
    set(plant, { capacitor: VDC });
    for (let k = 0; k < 10; k++) plant.runPeriod();
    const from = plant.read('lossFault');
    const at_s = plant.time_s;
    for (let k = 0; k < 10; k++) plant.runPeriod();
    const amps = VDC / (rds_ohm + 1 / SIEMENS);
    const watts = (plant.read('lossFault') - from) / (plant.time_s - at_s);
    expectNear(watts, (amps * amps) / SIEMENS, { abs: 1e-6 * watts, because: 'Ohm; a link of 1e9 F gives 346 A' });
    expectNear(plant.read('meanA'), amps / SIEMENS, { abs: 1e-9, because: 'divider of two resistances; rounding' });
    expect(plant.read('lossShunt')).toBe(0);
  });

  it('takes its part of the current past the shunt while the low side is on: the reading shows the rest', () => {
    const [rds_ohm, shunt_ohm] = [0.002, 0.0005];
    const read = (fault: boolean): { share: number; true_A: number } => {
      const plant = ideal({}, { rds_ohm, shunt_ohm }, 0);
      if (fault) put(plant, { fault: 'phase-to-minus', leg: 'a', size: 100 });
      plant.command(7, ...duties(0.5, 0));
      set(plant, {});
      for (let k = 0; k < 200; k++) plant.runPeriod();
      const sense = blankSense();
      new Sensors(PLAIN_BOARD).sample(plant, sense, false);
      const reading_A = (sense.ia - currentZero_counts(PLAIN_BOARD)) * currentPerCount_A(PLAIN_BOARD);
      return { share: reading_A / plant.read('iAlpha'), true_A: plant.read('iAlpha') };
    };
    const [whole, shorted] = [read(false), read(true)];
    // Current divider: 2.5 mohm of switch and shunt beside 10 mohm.
    const low_S = 1 / (rds_ohm + shunt_ohm);
    const abs = currentPerCount_A(PLAIN_BOARD) / Math.min(Math.abs(whole.true_A), Math.abs(shorted.true_A));
    expectNear(whole.share, 1, { abs, because: 'one count of the converter' });
    expectNear(shorted.share, low_S / (low_S + 100), { abs, because: 'one count of the converter' });
    expect(abs).toBeLessThan(0.05);
  });

  it('brakes a rotor that coasts, through the low diodes of the other legs', () => {
    const coast = (fault: boolean): Plant => {
      const plant = ideal({}, { diode_V: 0.7, diode_ohm: 0.004 });
      if (fault) put(plant, { fault: 'phase-to-minus', leg: 'a', size: SIEMENS });
      plant.command(0, 0, 0, 0);
      set(plant, {});
      return plant;
    };
    const [sound, shorted] = [coast(false), coast(true)];
    let torque = 0;
    let least = 0;
    let most = 0;
    for (let k = 0; k < 1024; k++) {
      sound.runPeriod();
      shorted.runPeriod();
      torque += shorted.read('airGap') / 1024;
      least = Math.min(least, shorted.read('iAlpha'));
      most = Math.max(most, shorted.read('iAlpha'));
      expect(sound.read('iAlpha')).toBe(0);
    }
    expect(torque).toBeLessThan(-0.01);
    // Its way back are diodes: out of the short only.
    expect(least).toBeLessThan(-5);
    expect(most).toBeLessThan(1e-6);
  });
});

describe('shorted turns', () => {
  it('make a second harmonic in d and q; loop and drag are in tests/plant/shorted-turns', () => {
    const plant = ideal();
    put(plant, { fault: 'turns-shorted', size: 0.1 });
    const shorted = driven(plant, 0, VQ_V, TURNS);
    expect(lines(shorted.q)[2]).toBeGreaterThan(0.01 * LENGTH_A);
    expect(loudest(shorted.q)).toBe(2);
    expect(loudest(shorted.d)).toBe(2);
  });
});

describe('weakened magnet', () => {
  /** Speed [rad/s] at which a free rotor settles on a voltage that turns with it, and its torque per ampere. */
  function freed(size: number): { speed_rad_s: number; perAmpere_Nm: number } {
    const light = { shaft: { rotor_kgm2: 2e-5, rotorFriction_Nm: 0, rotorViscous_Nms: 0, windage_Nms2: 0 } };
    const plant = ideal(light, {}, 0);
    if (size > 0) put(plant, { fault: 'magnet-weak', size });
    let perAmpere_Nm = 0;
    for (let k = 0; k < 4000; k++) {
      const ahead = 1.5 * PERIOD_S * POLE_PAIRS * plant.read('rotorSpeed');
      const [c, s] = [plant.read('cos'), plant.read('sin')];
      const cos = c * Math.cos(ahead) - s * Math.sin(ahead);
      const sin = s * Math.cos(ahead) + c * Math.sin(ahead);
      plant.command(7, ...duties(-sin * 2, cos * 2));
      plant.runPeriod();
      const iq = plant.read('cos') * plant.read('iBeta') - plant.read('sin') * plant.read('iAlpha');
      if (k === 40) perAmpere_Nm = plant.read('airGap') / iq;
    }
    return { speed_rad_s: plant.read('rotorSpeed'), perAmpere_Nm };
  }

  it('turns faster without load and pulls less per ampere, both by its share', () => {
    const [sound, weak] = [freed(0), freed(0.2)];
    expectNear(sound.speed_rad_s, 2 / (POLE_PAIRS * FLUX_WB), {
      abs: 0.03,
      because: 'the vector is (w T)^2/24 short, 1e-4',
    });
    expectNear(weak.speed_rad_s / sound.speed_rad_s, 1 / 0.8, { abs: 2e-4, because: 'the same, at another speed' });
    expectNear(sound.perAmpere_Nm, 1.5 * POLE_PAIRS * FLUX_WB, {
      abs: 1e-4,
      because: 'half a step of the rotor angle',
    });
    expectNear(weak.perAmpere_Nm / sound.perAmpere_Nm, 0.8, { abs: 2e-3, because: 'half a step of the rotor angle' });
  });
});

describe('hot motor', () => {
  it('has 39.3 % more winding resistance and 11 % less flux for 100 K', () => {
    const held = (fault: boolean): Plant => {
      const plant = ideal({ magnet: { temp_1_K: -0.0011 } }, {}, 0);
      if (fault) put(plant, { fault: 'motor-hot', size: 100 });
      plant.command(7, ...duties(1, 0));
      set(plant, {});
      // 40 time constants of 1 ms.
      for (let k = 0; k < 800; k++) plant.runPeriod();
      return plant;
    };
    const [cold, hot] = [held(false), held(true)];
    expectNear(cold.read('iAlpha') / hot.read('iAlpha'), 1.393, {
      abs: 5e-5,
      because: 'pulses in the middle of a period act as (R T/L)^2/100 = 2.5e-5 less, with more resistance more so',
    });
    expectNear(hot.read('magnet') / cold.read('magnet'), 0.89, {
      abs: 1e-5,
      because: 'the magnets follow a housing that keeps its heat',
    });
    put(hot, { fault: 'motor-hot', size: 100 });
    hot.runPeriod();
    expectNear(hot.read('windingHeat'), 393.15, { abs: 1e-6, because: 'what is hot is not heated twice' });
  });
});

describe('dry bearing', () => {
  /** Mean iq without load [A], at a speed that settles. */
  function idle_A(size: number): number {
    const plant = livePlant(
      drillWith(
        merge(
          { winding: { emf5: 0, emf7: 0, cogPoles_Nm: 0, cogSlots_Nm: 0, cogBoth_Nm: 0 } },
          { shaft: { rotorViscous_Nms: 0, windage_Nms2: 0 } },
        ),
      ),
      1e-6,
    );
    plant.hands.set('gear', 0);
    if (size > 0) put(plant, { fault: 'bearing-dry', size });
    let sum = 0;
    const { magnet_Wb } = plant.params.winding;
    const link = plant.read('ocv');
    for (let k = 0; k < 12000; k++) {
      const ahead = 1.5 * PERIOD_S * POLE_PAIRS * plant.read('rotorSpeed');
      const [c, s] = [plant.read('cos'), plant.read('sin')];
      const cos = c * Math.cos(ahead) - s * Math.sin(ahead);
      const sin = s * Math.cos(ahead) + c * Math.sin(ahead);
      const at = duties(-2 * sin, 2 * cos).map((d) => 0.5 + ((d - 0.5) * VDC) / link);
      plant.command(7, at[0], at[1], at[2]);
      plant.runPeriod();
      if (k >= 8000) sum += (1.5 * POLE_PAIRS * magnet_Wb) ** -1 * plant.read('airGap');
    }
    return sum / 4000;
  }

  it('raises the no-load current by its friction over the torque constant', () => {
    const perAmpere = 1.5 * POLE_PAIRS * 1.15e-3;
    expectNear((idle_A(0.02) - idle_A(0)) * perAmpere, 0.02, {
      abs: 4e-4,
      because:
        'iron hysteresis, another 6 mN·m of dry friction, goes with the square of a flux that moves by some percent',
    });
  });
});
