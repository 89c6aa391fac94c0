/** A current loop in the frame of the rotor that sees only the counts of the board, around a rotor that keeps its speed. */
import type { Plant } from '../../src/plant/plant.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { PER_COUNT, PLAIN, ZERO } from '../sensing/rig.ts';
import { set } from '../support/rigs.ts';
import { duties, EMF_V, ideal, L_H, PERIOD_S, R_OHM, UPDATES, WE } from './rig.ts';

/** Bandwidth of the loop [rad/s]: 800 Hz against the 78 Hz of the rotor. */
const BANDWIDTH = 2 * Math.PI * 800;

/**
 * Share of an error of the readings that the loop turns into true current, when the error turns against the rotor `order` times
 * a turn. In complex numbers, with s = -j order w: C = B (L + R / s), and (L s + R + C) i = -(C - j w L) e, because the
 * decoupling is fed with the readings too. The delay of 1.5 periods is left out.
 */
export function passed(order: number): number {
  const w = order * WE;
  const re = BANDWIDTH * L_H;
  const im = (BANDWIDTH * R_OHM) / w;
  return Math.hypot(re, im - WE * L_H) / Math.hypot(re + R_OHM, im - w * L_H);
}

export interface Looped {
  /** True currents at the samples [A]. */ readonly d: number[];
  readonly q: number[];
  readonly torque: number[];
  /** As they were read, channel by channel [A]. */ readonly read: [number[], number[], number[]];
  /** And in the frame of the rotor [A]. */ readonly readD: number[];
  readonly readQ: number[];
}

/** Closed: the loop holds iq_A; open: a voltage turns with the rotor that drives iq_A through a whole motor. */
export function looped(closed: boolean, iq_A: number, damage: (plant: Plant) => void, turns = 4): Looped {
  const plant = ideal();
  const sensors = new Sensors(PLAIN);
  const sense = blankSense();
  damage(plant);
  const out: Looped = { d: [], q: [], torque: [], read: [[], [], []], readD: [], readQ: [] };
  const sum = [0, 0];
  const [kp, ki] = [BANDWIDTH * L_H, BANDWIDTH * R_OHM * PERIOD_S];
  set(plant, {});
  for (let k = 0; k < turns * UPDATES; k++) {
    sensors.sample(plant, sense, false);
    const i = [sense.ia, sense.ib, sense.ic].map((counts) => (counts - ZERO) * PER_COUNT);
    const [cos, sin] = [plant.read('cos'), plant.read('sin')];
    const alpha = (2 * i[0] - i[1] - i[2]) / 3;
    const beta = (i[1] - i[2]) / Math.sqrt(3);
    const [d, q] = [cos * alpha + sin * beta, cos * beta - sin * alpha];
    let [vd, vq] = [-WE * L_H * iq_A, EMF_V + R_OHM * iq_A];
    if (closed) {
      sum[0] -= ki * d;
      sum[1] += ki * (iq_A - q);
      vd = -WE * L_H * q - kp * d + sum[0];
      vq = EMF_V + WE * L_H * d + kp * (iq_A - q) + sum[1];
    }
    // The command acts in the next period: its middle lies 1.5 periods ahead.
    const ahead = 1.5 * WE * PERIOD_S;
    const [c, s] = [cos * Math.cos(ahead) - sin * Math.sin(ahead), sin * Math.cos(ahead) + cos * Math.sin(ahead)];
    plant.command(7, ...duties(c * vd - s * vq, s * vd + c * vq));
    if (k >= (turns - 1) * UPDATES) {
      const [a, b] = [plant.read('iAlpha'), plant.read('iBeta')];
      out.d.push(cos * a + sin * b);
      out.q.push(cos * b - sin * a);
      out.torque.push(plant.read('airGap'));
      out.readD.push(d);
      out.readQ.push(q);
      i.forEach((amps, leg) => {
        out.read[leg].push(amps);
      });
    }
    plant.runPeriod();
  }
  return out;
}
