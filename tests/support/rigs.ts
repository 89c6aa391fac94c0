/** Test benches around the real components: a drill with some parameters replaced, and a winding on ideal voltages. */
import { integrate, TAKE } from '../../src/plant/kernel.ts';
import { type KernelMap, kernelMap } from '../../src/plant/kernel-map.ts';
import type { DrillParams, ShaftParams, WindingParams } from '../../src/plant/params.ts';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { startSlope } from '../../src/plant/slope.ts';
import { SLOTS, type SlotName, slot } from '../../src/plant/slots.ts';
import { prepareStretch } from '../../src/plant/stretch.ts';
import { WORK_LENGTH, type WorkName, work } from '../../src/plant/work.ts';

export type Overrides = { [G in keyof DrillParams]?: Partial<DrillParams[G]> };

/** As good as zero for a resistance that must be positive [ohm]. */
export const TINY = 1e-12;

/** The bench drill with some parameters replaced; bands are not asked, a test may idealize. */
export function drillWith(overrides: Overrides): DrillParams {
  const entries = Object.entries(BENCH_18).map(([group, block]) => {
    const over = overrides[group as keyof DrillParams];
    return [group, Object.freeze(typeof block === 'object' && over ? { ...block, ...(over as object) } : block)];
  });
  return Object.freeze(Object.fromEntries(entries)) as DrillParams;
}

/** Overrides that make supply and bridge ideal: a stiff link of v_V, lossless switches and diodes, no dead time. */
export function idealSupply(v_V: number): Overrides {
  return {
    pack: { series: 1, ocvCharge: [0, 1], ocvCell_V: [v_V, v_V + 1e-12], leads_ohm: 1e6, leads_H: 0, ...ALIKE },
    link: { c_F: 1e9, esr_ohm: 0, logic_ohm: 1e12 },
    bridge: {
      rds_ohm: TINY,
      shunt_ohm: TINY,
      diode_V: 0,
      diodeTemp_V_K: 0,
      diode_ohm: TINY,
      deadTime_s: 0,
      avalanche_V: 1e6,
      ...LOSSLESS_EDGES,
    },
  };
}

/** A pack whose cells are all the same and whose contact does not bounce. */
export const ALIKE = Object.freeze({ chargeSpread: 0, capacitySpread: 0, r0Spread: 0, bounces: 0, bounce_s: 0 });
/** Switches that lose nothing while switching, and whose gate supply never droops. */
export const LOSSLESS_EDGES = Object.freeze({ rise_s: 0, fall_s: 0, recovery_C: 0, bootDroop_V_s: 0 });

/** Overrides for a winding without saturation, harmonics, cogging or iron loss. */
export function linearWinding(w: Partial<WindingParams>): Overrides {
  return { winding: { satD2: 0, satD3: 0, satCross: 0, satQ3: 0, ...SMOOTH, ...w } };
}

/** Nothing of the winding but resistance, inductance and sinusoidal flux. */
export const SMOOTH = Object.freeze({
  emf5: 0,
  emf7: 0,
  cogPoles_Nm: 0,
  cogSlots_Nm: 0,
  cogBoth_Nm: 0,
  ironHysteresis_S_s: 0,
  ironEddy_S: 0,
});

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

/** A plant in a vice whose link is charged and whose trigger is pressed, at the start of an update. */
export function livePlant(p: DrillParams, h_s: number, rotorAngle_rad = 0): Plant {
  const plant = new Plant(p, { seed: 1, h_s, rotorAngle_rad });
  plant.hands.set('trigger', 1);
  plant.hands.set('wrist', 0);
  const { bounce_s } = p.pack;
  set(plant, {
    contactWant: 1,
    bounceFor: bounce_s,
    capacitor: plant.read('ocv'),
    link: plant.read('ocv'),
    powered: 1,
  });
  return plant;
}

/** Writes slots of a plant before a test starts. */
export function set(plant: Plant, values: { [S in SlotName]?: number }): void {
  for (const [name, value] of Object.entries(values)) plant.state[slot(name as SlotName)] = value as number;
  plant.renew();
}

/** Winding and rotor of the engine, fed with an ideal voltage that stands still in the rotor frame. */
export class Machine {
  readonly x = new Float64Array(SLOTS.length);
  readonly w = new Float64Array(WORK_LENGTH);
  readonly map: KernelMap;

  /** The rotor turns alone: free play without end, no drag but the viscous one of `shaft`. */
  constructor(winding: WindingParams, shaft: Partial<ShaftParams>) {
    this.map = kernelMap(drillWith({ winding, shaft, pack: { leads_H: 0 } }));
    this.put('cos', 1);
    this.put('slotCos', 1);
    this.put('psiAlpha', winding.magnet_Wb);
    this.put('magnet', winding.magnet_Wb);
    const start = {
      windingOhm: winding.r_ohm,
      packOhm: 1,
      perRatio: 1,
      play: 1e9,
      slipLimit: 1e9,
      wall: 1e9,
      blocked: -1,
    };
    for (const [name, value] of Object.entries(start)) this.w[work(name as WorkName)] = value;
    this.w[work('body')] = Number.POSITIVE_INFINITY;
    this.w[work('drag')] = shaft.rotorViscous_Nms ?? 0;
  }

  put(name: SlotName, value: number): void {
    this.x[slot(name)] = value;
  }

  get(name: SlotName): number {
    return this.x[slot(name)];
  }

  /** One step with (vd, vq), held in the rotor frame; load_Nm brakes a rotor that turns forward. */
  step(vd_V: number, vq_V: number, h_s: number, load_Nm = 0): void {
    const { x, w } = this;
    w[work('part')] = h_s;
    w[work('bound')] = load_Nm;
    // The legs give the phase voltages of the frame at mid-step; the speed moves by so little that its guess is exact.
    const half = 0.5 * h_s * this.map.polePairs * this.get('rotorSpeed');
    const c = this.get('cos') * Math.cos(half) - this.get('sin') * Math.sin(half);
    const s = this.get('sin') * Math.cos(half) + this.get('cos') * Math.sin(half);
    const alpha = c * vd_V - s * vq_V;
    const beta = s * vd_V + c * vq_V;
    w[work('offsetA')] = alpha;
    w[work('offsetB')] = -0.5 * alpha + (Math.sqrt(3) / 2) * beta;
    w[work('offsetC')] = -0.5 * alpha - (Math.sqrt(3) / 2) * beta;
    startSlope(x, w, this.map);
    prepareStretch(x, w, this.map);
    integrate(x, w, this.map, TAKE, 1);
  }

  /** dq currents [A] at the end of the last step. */
  get id_A(): number {
    return this.get('cos') * this.get('iAlpha') + this.get('sin') * this.get('iBeta');
  }

  get iq_A(): number {
    return this.get('cos') * this.get('iBeta') - this.get('sin') * this.get('iAlpha');
  }
}
