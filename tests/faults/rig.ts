/** A drill on an ideal source that a fault of the catalogue is put into, and what its currents look like over a turn. */
import FFT from 'fft.js';
import { FAULTS } from '../../src/faults/catalogue.ts';
import { Injector } from '../../src/faults/injector.ts';
import type { FaultOrder } from '../../src/faults/order.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { SIGNALS } from '../../src/signals.ts';
import { circuit, POLE_PAIRS, spinning } from '../spice/rig.ts';
import { linearWinding, merge, type Overrides, set, TINY } from '../support/rigs.ts';

export type Fault = Pick<FaultOrder, 'fault' | 'size' | 'leg'>;

/** Puts faults of the catalogue into a drill, as they are at full size. */
export function put(plant: { damage: Plant['damage'] }, ...faults: readonly Fault[]): void {
  const orders = faults.map(
    (fault): FaultOrder => ({ ...fault, begin: { kind: 'at', at_s: 0 }, shape: { kind: 'step' } }),
  );
  new Injector(orders, 1).act(0, PERIOD_S, new Float64Array(SIGNALS.length), plant.damage);
}

/** Size that a fault has when nobody names one. */
export const usual = (id: string): number => FAULTS[id].size?.usual ?? 1;

export const VDC = 18;
export const PERIOD_S = 50e-6;
/** PWM periods in an electrical turn. */
export const UPDATES = 256;
/** Electrical speed [rad/s]. */
export const WE = (2 * Math.PI) / (UPDATES * PERIOD_S);
export const R_OHM = 0.05;
export const L_H = 50e-6;
export const FLUX_WB = 4e-3;
/** Peak of the phase EMF [V]. */
export const EMF_V = WE * FLUX_WB;

const IDEAL = { period_s: PERIOD_S, dead_s: 0, rds_ohm: TINY, diode_V: 0, diode_ohm: TINY, shunt_ohm: TINY };

/** A round rotor that keeps its speed, on a stiff link and a bridge without losses or dead time. */
export function ideal(more: Overrides = {}, bridge: Partial<typeof IDEAL> = {}, speed_rad_s = WE): Plant {
  const p = { ...IDEAL, ...bridge, link_V: VDC, angle_rad: 0, speed_rad_s };
  const winding = linearWinding({ polePairs: POLE_PAIRS, r_ohm: R_OHM, ld_H: L_H, lq_H: L_H, magnet_Wb: FLUX_WB });
  return spinning(p, merge(circuit(p), winding, more), 1e-6);
}

/** Duties of the legs for a vector [V] around half the link. */
export function duties(alpha_V: number, beta_V: number): [number, number, number] {
  const r = (Math.sqrt(3) / 2) * beta_V;
  const at = (v: number): number => 0.5 + v / VDC;
  return [at(alpha_V), at(r - alpha_V / 2), at(-r - alpha_V / 2)];
}

/** What one electrical turn looks like, at the end of each update. */
export interface Turn {
  readonly a: number[];
  readonly b: number[];
  readonly c: number[];
  readonly d: number[];
  readonly q: number[];
  readonly torque: number[];
  /** Mean pole voltages less half the link. */ readonly poles: [number[], number[], number[]];
}

/** Runs `turns` with a voltage (vd, vq) that turns with the rotor, and notes the last of them. */
export function driven(plant: Plant, vd_V: number, vq_V: number, turns: number): Turn {
  const turn: Turn = { a: [], b: [], c: [], d: [], q: [], torque: [], poles: [[], [], []] };
  const next = (k: number): void => {
    const angle = WE * (k + 0.5) * PERIOD_S;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    plant.command(7, ...duties(cos * vd_V - sin * vq_V, sin * vd_V + cos * vq_V));
  };
  next(0);
  set(plant, {});
  for (let k = 0; k < turns * UPDATES; k++) {
    next(k + 1);
    plant.runPeriod();
    if (k < (turns - 1) * UPDATES) continue;
    const [alpha, beta] = [plant.read('iAlpha'), plant.read('iBeta')];
    const [cos, sin] = [plant.read('cos'), plant.read('sin')];
    const r = (Math.sqrt(3) / 2) * beta;
    turn.a.push(alpha);
    turn.b.push(r - alpha / 2);
    turn.c.push(-r - alpha / 2);
    turn.d.push(cos * alpha + sin * beta);
    turn.q.push(cos * beta - sin * alpha);
    turn.torque.push(plant.read('airGap'));
    (['meanA', 'meanB', 'meanC'] as const).forEach((name, leg) => {
      turn.poles[leg].push(plant.read(name) - VDC / 2);
    });
  }
  return turn;
}

/** Amplitude of every multiple of the electrical frequency, from 0 on. */
export function lines(values: readonly number[]): number[] {
  const fft = new FFT(values.length);
  const out = fft.createComplexArray();
  fft.realTransform(out, [...values]);
  return Array.from({ length: values.length / 2 }, (_, n) => {
    return (Math.hypot(out[2 * n], out[2 * n + 1]) * (n === 0 ? 1 : 2)) / values.length;
  });
}

export const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

export const deviation = (values: readonly number[]): number => {
  const middle = mean(values);
  return Math.sqrt(mean(values.map((v) => (v - middle) ** 2)));
};

/** Largest line beside the mean, as its order. */
export function loudest(values: readonly number[]): number {
  const found = lines(values).slice(1);
  return 1 + found.indexOf(Math.max(...found));
}
