/**
 * Parameters of a drill: frozen, checked when made. Each key ends in its unit; a key without one is a plain number.
 */
import { requirePositive, requireRange } from '../units/checks.ts';

export interface PackParams {
  /** Cells in series, each standing for its parallel group. */ readonly series: number;
  /** Charge of the pack [A·s]. */ readonly capacity_As: number;
  /** Charge at the start, 0 to 1. */ readonly charge: number;
  /** State of charge of the OCV points, rising, 0 to 1. */ readonly ocvCharge: readonly number[];
  /** Cell voltage at these points [V]. */ readonly ocvCell_V: readonly number[];
  /** Series resistance of one cell group [ohm]. */ readonly r0_ohm: number;
  /** Fast pair of one cell group. */ readonly r1_ohm: number;
  readonly c1_F: number;
  /** Slow pair of one cell group. */ readonly r2_ohm: number;
  readonly c2_F: number;
  /** Links, leads and the closed trigger contact [ohm]. */ readonly leads_ohm: number;
  /** Trigger travel at which the contact closes and opens, 0 to 1. */ readonly contactCloses: number;
  readonly contactOpens: number;
}

export interface LinkParams {
  readonly c_F: number;
  readonly esr_ohm: number;
  /** Logic supply, seen as a resistance across the link [ohm]. */ readonly logic_ohm: number;
  /** Link voltage at which the logic comes up and goes down [V]. */ readonly logicUp_V: number;
  readonly logicDown_V: number;
}

export interface BridgeParams {
  readonly pwm_Hz: number;
  readonly deadTime_s: number;
  /** On-resistance of one switch [ohm]. */ readonly rds_ohm: number;
  /** Body diode: threshold and slope. */ readonly diode_V: number;
  readonly diode_ohm: number;
  /** Shunt under each low switch [ohm]. */ readonly shunt_ohm: number;
}

export interface WindingParams {
  readonly polePairs: number;
  /** Phase resistance [ohm]. */ readonly r_ohm: number;
  /** Inductances at zero current [H]. */ readonly ld_H: number;
  readonly lq_H: number;
  /** Peak flux that the magnets link with a phase [Wb]. */ readonly magnet_Wb: number;
  /** Saturation: odd d term [A/Wb^2], even d term [A/Wb^3], cross term [A/Wb^2], q term [A/Wb^3]. */
  readonly satD2: number;
  readonly satD3: number;
  readonly satCross: number;
  readonly satQ3: number;
  /** Electrical angles of the three Halls [rad]. */ readonly halls_rad: readonly [number, number, number];
}

export interface ShaftParams {
  readonly rotor_kgm2: number;
  readonly rotorFriction_Nm: number;
  readonly rotorViscous_Nms: number;
  readonly chuck_kgm2: number;
  readonly chuckFriction_Nm: number;
}

export interface GearParams {
  /** Teeth of sun and ring per stage, motor side first. */ readonly stages: readonly (readonly [number, number])[];
  /** Stages that work in gear 1 (low) and in gear 2 (high). */ readonly stagesInGear: readonly [number, number];
  /** Friction torque at the input, as a share of the torque passed, per gear. */ readonly meshLoss: readonly [
    number,
    number,
  ];
  /** Half of the free play, at the output [rad]. */ readonly halfPlay_rad: number;
  readonly stiffness_Nm_rad: number;
  readonly damping_Nms: number;
}

export interface ScrewParams {
  readonly pitch_m: number;
  /** Depth at which the head meets the board [m]. */ readonly seat_m: number;
  /** Torque of the tip as it bites, and its rise with depth until the thread is fully in. */
  readonly tip_Nm: number;
  readonly thread_Nm_m: number;
  readonly fullThread_m: number;
  /** Share of the driving torque that the thread asks on the way out. */ readonly outShare: number;
  /** Stiffness of the clamped boards [N/m] and force at which the thread in the wood gives way [N]. */
  readonly clamp_N_m: number;
  readonly strip_N: number;
  /** Mean thread radius, half flank angle, friction, mean head radius, head friction. */
  readonly threadRadius_m: number;
  readonly halfFlank_rad: number;
  readonly friction: number;
  readonly headRadius_m: number;
  readonly headFriction: number;
  /** Share of the thread torque that is left once the thread has given way. */ readonly strippedShare: number;
}

export interface DrillParams {
  readonly name: string;
  readonly title: string;
  readonly pack: PackParams;
  readonly link: LinkParams;
  readonly bridge: BridgeParams;
  readonly winding: WindingParams;
  readonly shaft: ShaftParams;
  readonly gear: GearParams;
  readonly screw: ScrewParams;
  /** Where each number comes from: key path without indices, such as 'winding.ld_H'. */
  readonly sources: Readonly<Record<string, string>>;
}

/** May be zero; every other plain number must be above it. */
const MAY_BE_ZERO =
  /friction|viscous|loss|tip|sat|halls|esr|charge|play|damping|dead|diode_V|Friction|Viscous|Loss|Cross|ocv/;

/**
 * Checks and freezes a drill. Throws RangeError naming the item, the value and what is allowed.
 * A saturation map must keep its inductances positive over the currents that a bridge can drive.
 */
export function drillParams(p: DrillParams): DrillParams {
  for (const [group, block] of Object.entries(p)) {
    if (typeof block !== 'object' || group === 'sources') continue;
    for (const [key, value] of Object.entries(block)) {
      for (const v of [value].flat(2) as number[]) {
        if (MAY_BE_ZERO.test(key)) requireRange(`${group}.${key}`, v, -1e12, 1e12, '');
        else requirePositive(`${group}.${key}`, v, '');
      }
    }
    Object.freeze(block);
  }
  requireRange('pack.charge', p.pack.charge, 0, 1, '');
  for (let k = 1; k < p.pack.ocvCharge.length; k++) {
    requirePositive(`pack.ocvCharge step ${k}`, p.pack.ocvCharge[k] - p.pack.ocvCharge[k - 1], '');
    requirePositive(`pack.ocvCell_V step ${k}`, p.pack.ocvCell_V[k] - p.pack.ocvCell_V[k - 1], 'V');
  }
  requireRange('bridge.pwm_Hz', p.bridge.pwm_Hz, 8000, 40000, 'Hz');
  requireRange('bridge.deadTime_s', p.bridge.deadTime_s, 0, 0.1 / p.bridge.pwm_Hz, 's');
  const { ld_H, satD2, satD3 } = p.winding;
  // 1/Ld + 2 a x + 3 b x^2 > 0 for every x: the d axis stays a stable inductor.
  if (satD2 ** 2 * ld_H > 3 * satD3) {
    throw new RangeError(
      `winding.satD2 is ${satD2} A/Wb^2; allowed is at most sqrt(3 satD3 / ld_H), else the d axis is no inductor`,
    );
  }
  return Object.freeze({ ...p });
}
