/** Test benches around the real components: a drill with some parameters replaced, and a winding on ideal voltages. */

import {
  type DrillParams,
  drillParams,
  type GearParams,
  type ShaftParams,
  type WindingParams,
} from '../../src/plant/params.ts';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { advanceSpeeds, gearTorque, turnFrame } from '../../src/plant/shaft.ts';
import { SLOTS, type SlotName, slot } from '../../src/plant/slots.ts';
import {
  advanceFlux,
  endCurrent,
  meanCurrentAndTorque,
  startWinding,
  type WindingMap,
  windingMap,
} from '../../src/plant/winding.ts';
import { WORK_LENGTH, type WorkName, work } from '../../src/plant/work.ts';

export type Overrides = { [G in keyof DrillParams]?: Partial<DrillParams[G]> };

/** As good as zero for a resistance that must be positive [ohm]. */
export const TINY = 1e-12;

/** The bench drill with some parameters replaced. */
export function drillWith(overrides: Overrides): DrillParams {
  const entries = Object.entries(BENCH_18).map(([group, block]) => {
    const over = overrides[group as keyof DrillParams];
    return [group, typeof block === 'object' && over ? { ...block, ...(over as object) } : block];
  });
  return drillParams(Object.fromEntries(entries) as DrillParams);
}

/** Overrides that make supply and bridge ideal: a stiff link of v_V, lossless switches and diodes, no dead time. */
export function idealSupply(v_V: number): Overrides {
  return {
    pack: { series: 1, ocvCharge: [0, 1], ocvCell_V: [v_V, v_V + 1e-12], leads_ohm: 1e6 },
    link: { c_F: 1e9, esr_ohm: 0, logic_ohm: 1e12 },
    bridge: { rds_ohm: TINY, shunt_ohm: TINY, diode_V: 0, diode_ohm: TINY, deadTime_s: 0 },
  };
}

/** Overrides for a winding without saturation. */
export function linearWinding(w: Partial<WindingParams>): Overrides {
  return { winding: { satD2: 0, satD3: 0, satCross: 0, satQ3: 0, ...w } };
}

/** A rotor that nothing turns. */
export const LOCKED: Overrides = { shaft: { rotor_kgm2: 1e9 } };

/** Merges overrides, later ones win. */
export function merge(...list: Overrides[]): Overrides {
  const out: Record<string, object> = {};
  for (const one of list) {
    for (const [group, block] of Object.entries(one)) out[group] = { ...out[group], ...(block as object) };
  }
  return out as Overrides;
}

/** A plant whose link is charged and whose trigger is pressed, at the start of a period. */
export function livePlant(p: DrillParams, h_s: number, rotorAngle_rad = 0): Plant {
  const plant = new Plant(p, { seed: 1, h_s, rotorAngle_rad });
  plant.hands.set('trigger', 1);
  set(plant, { contact: 1, capacitor: plant.read('ocv'), link: plant.read('ocv'), powered: 1 });
  return plant;
}

/** Writes slots of a plant before a test starts. */
export function set(plant: Plant, values: { [S in SlotName]?: number }): void {
  for (const [name, value] of Object.entries(values)) plant.state[slot(name as SlotName)] = value as number;
}

/** Winding and rotor of the engine, fed with an ideal voltage that stands still in the rotor frame. */
export class Machine {
  readonly x = new Float64Array(SLOTS.length);
  readonly w = new Float64Array(WORK_LENGTH);
  readonly map: WindingMap;
  private readonly shaft: ShaftParams;
  private readonly gear: GearParams;

  constructor(winding: WindingParams, shaft: Partial<ShaftParams>) {
    this.map = windingMap(winding);
    this.shaft = { ...BENCH_18.shaft, rotorFriction_Nm: 0, ...shaft };
    // Free play without end: the rotor turns alone.
    this.gear = { ...BENCH_18.gear, halfPlay_rad: 1e9 };
    this.put('cos', 1);
    this.put('psiAlpha', winding.magnet_Wb);
  }

  put(name: SlotName, value: number): void {
    this.x[slot(name)] = value;
  }

  get(name: SlotName): number {
    return this.x[slot(name)];
  }

  mean(name: WorkName): number {
    return this.w[work(name)];
  }

  /** One step with (vd, vq), held in the rotor frame; load_Nm opposes the rotor. */
  step(vd_V: number, vq_V: number, h_s: number, load_Nm = 0): void {
    const { x, w, map } = this;
    w[work('dt')] = h_s;
    w[work('perRatio')] = 1;
    startWinding(x, w, map);
    w[work('iAlpha')] = this.get('iAlpha');
    w[work('iBeta')] = this.get('iBeta');
    w[work('airGap')] = this.get('airGap') - load_Nm;
    w[work('rotor1')] = this.get('rotorSpeed');
    for (let pass = 1; ; pass++) {
      gearTorque(x, w, this.gear);
      advanceSpeeds(x, w, this.shaft);
      turnFrame(x, w, map.polePairs);
      const c = this.mean('cosMid');
      const s = this.mean('sinMid');
      w[work('vAlpha')] = c * vd_V - s * vq_V;
      w[work('vBeta')] = s * vd_V + c * vq_V;
      advanceFlux(x, w, map);
      if (pass === 4) break;
      meanCurrentAndTorque(x, w, map);
      w[work('airGap')] -= load_Nm;
    }
    endCurrent(w, map);
    this.put('psiAlpha', this.mean('psiAlpha'));
    this.put('psiBeta', this.mean('psiBeta'));
    this.put('iAlpha', this.mean('i1Alpha'));
    this.put('iBeta', this.mean('i1Beta'));
    this.put('airGap', this.mean('airGap') + load_Nm);
    this.put('cos', this.mean('cos1'));
    this.put('sin', this.mean('sin1'));
    this.put('rotorSpeed', this.mean('rotor1'));
  }

  /** dq currents [A] at the end of the last step. */
  get id_A(): number {
    return this.get('cos') * this.get('iAlpha') + this.get('sin') * this.get('iBeta');
  }

  get iq_A(): number {
    return this.get('cos') * this.get('iBeta') - this.get('sin') * this.get('iAlpha');
  }
}
