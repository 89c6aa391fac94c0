/**
 * Two motor wires shorted together, by the sight that is published for it.
 *
 * Source  Ohm and Kirchhoff; a backward current of unequal phases as a line at twice the electrical frequency in d and q:
 *         Fortescue 1918 (from memory).
 */
import { describe, expect, it } from 'vitest';
import { blankSense } from '../../src/protocol/codec.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { POLE_PAIRS, phaseCurrents_A } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { PLAIN_BOARD } from '../support/plain-board.ts';
import { set } from '../support/rigs.ts';
import { driven, EMF_V, ideal, L_H, lines, loudest, put, R_OHM, UPDATES, usual, VDC, WE } from './rig.ts';

const VQ_V = EMF_V + 1;

describe('motor wires shorted together', () => {
  const [rds_ohm, shunt_ohm] = [0.002, 0.0005];
  const SIEMENS = usual('wires-ab-shorted');
  const SHORT_OHM = 1 / SIEMENS;
  const PAIRS = [
    ['wires-ab-shorted', 0, 1],
    ['wires-bc-shorted', 1, 2],
    ['wires-ac-shorted', 0, 2],
  ] as const;

  it.each(PAIRS)(
    '%s: one high and one low, the pack gives the link voltage over short, switches and shunt',
    (fault, first, second) => {
      const plant = ideal({}, { rds_ohm, shunt_ohm }, 0);
      put(plant, { fault });
      const duty = [0, 0, 0];
      duty[first] = 1;
      // The third leg is off: nothing flows in the winding but between the two wires.
      plant.command((1 << first) | (1 << second), duty[0], duty[1], duty[2]);
      set(plant, { capacitor: VDC });
      for (let k = 0; k < 400; k++) plant.runPeriod();
      const accounts = ['lossFault', 'lossShunt', 'lossSwitch'] as const;
      const from = accounts.map((name) => plant.read(name));
      const at_s = plant.time_s;
      for (let k = 0; k < 10; k++) plant.runPeriod();
      const watts = accounts.map((name, k) => (plant.read(name) - from[k]) / (plant.time_s - at_s));
      // 18 V over high switch, short beside two windings of 50 mohm, low switch, shunt.
      const beside_ohm = 1 / (SIEMENS + 1 / (2 * R_OHM));
      const amps = VDC / (2 * rds_ohm + shunt_ohm + beside_ohm);
      const short_W = (amps * beside_ohm) ** 2 * SIEMENS;
      const because = 'Ohm on a link of 1e9 F, 20 time constants of L / R';
      [short_W, amps ** 2 * shunt_ohm, amps ** 2 * 2 * rds_ohm].forEach((expected, k) => {
        expectNear(watts[k], expected, { abs: 1e-6 * expected, because });
      });
      const means = ['meanA', 'meanB', 'meanC'] as const;
      expectNear(plant.read(means[first]), VDC - amps * rds_ohm, { abs: 1e-5, because });
      expectNear(plant.read(means[second]), amps * (rds_ohm + shunt_ohm), { abs: 1e-5, because });
      // The shunt of the low leg carries all of it, away from the motor; its converter is at its end.
      expectNear(plant.shunt_A(second, 0), -amps, { abs: 1e-3, because });
      expectNear(plant.shunt_A(first, 0), 0, { abs: 1e-9, because: 'its low side is off' });
      const sense = blankSense();
      new Sensors(PLAIN_BOARD).sample(plant, sense, false);
      expect([sense.ia, sense.ib, sense.ic][second]).toBe(0);
    },
  );

  it.each(PAIRS)(
    '%s: with all gates off the rotor is braked by a current between both phases',
    (fault, first, second) => {
      const plant = ideal({}, { diode_V: 0.7, diode_ohm: 0.004 });
      put(plant, { fault });
      plant.command(0, 0, 0, 0);
      set(plant, {});
      for (let k = 0; k < 3 * UPDATES; k++) plant.runPeriod();
      const currents: number[][] = [[], [], []];
      let torque = 0;
      for (let k = 0; k < UPDATES; k++) {
        plant.runPeriod();
        phaseCurrents_A(plant).forEach((i, phase) => {
          currents[phase].push(i);
        });
        torque += plant.read('airGap') / UPDATES;
      }
      // Line-to-line EMF over two windings and the short.
      const peak = (Math.sqrt(3) * EMF_V) / Math.hypot(2 * R_OHM + SHORT_OHM, 2 * WE * L_H);
      const because = 'order 2 of steps of 1 us, (w h)^2; decayed to e^-40';
      expectNear(lines(currents[first])[1], peak, { abs: 1e-5 * peak, because });
      expectNear(lines(currents[second])[1], peak, { abs: 1e-5 * peak, because });
      expectNear(Math.max(...currents[3 - first - second].map(Math.abs)), 0, { abs: 1e-6, because: 'no path' });
      // All of the power of the shaft is heat of two windings and the short.
      const watts = 0.5 * peak ** 2 * (2 * R_OHM + SHORT_OHM);
      expectNear((-torque * WE) / POLE_PAIRS, watts, {
        abs: 2e-3 * watts,
        because: 'the torque is that of the last step',
      });
      expectNear(plant.read('lossDiode'), 0, { abs: 1e-6, because: 'under 1e-6 A in the third phase, by rounding' });
    },
  );

  it.each(PAIRS)(
    '%s: a voltage that turns with the rotor makes a second harmonic in d and q, as any unbalance',
    (fault) => {
      const plant = ideal({}, { rds_ohm, shunt_ohm });
      put(plant, { fault });
      const turn = driven(plant, 0, VQ_V, 4);
      expect(loudest(turn.q)).toBe(2);
      expect(lines(turn.q)[2]).toBeGreaterThan(100 * lines(driven(ideal({}, { rds_ohm, shunt_ohm }), 0, VQ_V, 4).q)[2]);
    },
  );
});
