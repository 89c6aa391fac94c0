/** Constants of the fast part of the plant, made once from checked parameters. */
import type { DrillParams } from './params.ts';
import { type WindingMap, windingMap } from './winding.ts';

export interface KernelMap extends WindingMap {
  readonly perLink_F: number;
  readonly esr_ohm: number;
  readonly logic_S: number;
  readonly leads_H: number;
  readonly avalanche_V: number;
  readonly avalanche_S: number;
  readonly shunt_ohm: number;
  readonly stiffness_Nm_rad: number;
  readonly damping_Nms: number;
  readonly rotor_kgm2: number;
  readonly chuck_kgm2: number;
  readonly body_kgm2: number;
  readonly chuckFriction_Nm: number;
  /** Half the resistance of winding, switches and link over the smaller inductance [1/s]. */ readonly perTau_s: number;
}

/** Resistance that a phase current can meet at most: winding and switches warm, a shunt, a diode, the link [ohm]. */
export function circuit_ohm({ winding, bridge, link }: DrillParams): number {
  return 2 * winding.r_ohm + 4 * bridge.rds_ohm + bridge.shunt_ohm + bridge.diode_ohm + link.esr_ohm;
}

/** Collects the constants. Throws RangeError when slots and poles make no balanced winding. */
export function kernelMap(p: DrillParams): KernelMap {
  return Object.freeze({
    ...windingMap(p.winding),
    perLink_F: 1 / p.link.c_F,
    esr_ohm: p.link.esr_ohm,
    logic_S: 1 / p.link.logic_ohm,
    leads_H: p.pack.leads_H,
    avalanche_V: p.bridge.avalanche_V,
    avalanche_S: 1 / p.bridge.avalanche_ohm,
    shunt_ohm: p.bridge.shunt_ohm,
    stiffness_Nm_rad: p.gear.stiffness_Nm_rad,
    damping_Nms: p.gear.damping_Nms,
    rotor_kgm2: p.shaft.rotor_kgm2,
    chuck_kgm2: p.shaft.chuck_kgm2,
    body_kgm2: p.body.body_kgm2,
    chuckFriction_Nm: p.shaft.chuckFriction_Nm,
    perTau_s: circuit_ohm(p) / (2 * Math.min(p.winding.ld_H, p.winding.lq_H)),
  });
}
