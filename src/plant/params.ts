/**
 * Parameters of a drill: declared group by group in params/, checked and frozen when made. Each key ends in its unit;
 * a key without one is a plain number.
 */
import { checkGroup } from './params/band.ts';
import { BRIDGE, type BridgeParams } from './params/bridge.ts';
import {
  BIT,
  type BitParams,
  BORE,
  type BoreParams,
  JOINT,
  type JointParams,
  SCREW,
  type ScrewParams,
} from './params/loads.ts';
import {
  BODY,
  type BodyParams,
  CLUTCH,
  type ClutchParams,
  GEAR,
  type GearParams,
  SHAFT,
  type ShaftParams,
} from './params/mechanics.ts';
import { HEAT, type HeatParams, MAGNET, type MagnetParams, WINDING, type WindingParams } from './params/motor.ts';
import { LINK, type LinkParams, PACK, type PackParams } from './params/supply.ts';

export type {
  BitParams,
  BodyParams,
  BoreParams,
  BridgeParams,
  ClutchParams,
  GearParams,
  HeatParams,
  JointParams,
  LinkParams,
  MagnetParams,
  PackParams,
  ScrewParams,
  ShaftParams,
  WindingParams,
};

/** Every group of parameters, in the order of the drill. */
export const GROUPS = Object.freeze({
  pack: PACK,
  link: LINK,
  bridge: BRIDGE,
  winding: WINDING,
  magnet: MAGNET,
  heat: HEAT,
  shaft: SHAFT,
  gear: GEAR,
  clutch: CLUTCH,
  body: BODY,
  screw: SCREW,
  bit: BIT,
  wood: BORE,
  steel: BORE,
  joint: JOINT,
});
export type GroupName = keyof typeof GROUPS;

export interface DrillParams {
  readonly name: string;
  readonly title: string;
  readonly pack: PackParams;
  readonly link: LinkParams;
  readonly bridge: BridgeParams;
  readonly winding: WindingParams;
  readonly magnet: MagnetParams;
  readonly heat: HeatParams;
  readonly shaft: ShaftParams;
  readonly gear: GearParams;
  readonly clutch: ClutchParams;
  readonly body: BodyParams;
  readonly screw: ScrewParams;
  readonly bit: BitParams;
  readonly wood: BoreParams;
  readonly steel: BoreParams;
  readonly joint: JointParams;
  /** Where each number comes from: 'winding.ld_H'. */
  readonly sources: Readonly<Record<string, string>>;
}

/**
 * Checks and freezes a drill. Throws RangeError naming the item, the value, its unit and what is allowed.
 * A saturation map must keep its inductances positive over the currents that a bridge can drive.
 */
export function drillParams(p: DrillParams): DrillParams {
  for (const name of Object.keys(GROUPS) as GroupName[]) {
    checkGroup(name, GROUPS[name], p[name] as unknown as Readonly<Record<string, unknown>>);
    Object.freeze(p[name]);
  }
  checkTogether(p);
  return Object.freeze({ ...p });
}

function refuse(item: string, allowed: string): never {
  throw new RangeError(`${item}; allowed is ${allowed}`);
}

/** What no band can say: values that must fit each other. */
function checkTogether(p: DrillParams): void {
  const { pack, link, bridge, winding, gear, clutch } = p;
  if (pack.ocvCharge.length !== pack.ocvCell_V.length || pack.ocvCharge.length < 2) {
    refuse(
      `pack.ocvCharge has ${pack.ocvCharge.length} points, pack.ocvCell_V ${pack.ocvCell_V.length}`,
      'two or more, as many of both',
    );
  }
  for (let k = 1; k < pack.ocvCharge.length; k++) {
    if (!(pack.ocvCharge[k] > pack.ocvCharge[k - 1])) refuse(`pack.ocvCharge falls at point ${k}`, 'a rising list');
    if (!(pack.ocvCell_V[k] > pack.ocvCell_V[k - 1])) refuse(`pack.ocvCell_V falls at point ${k}`, 'a rising list');
  }
  if (!(pack.contactOpens < pack.contactCloses))
    refuse(`pack.contactOpens is ${pack.contactOpens}`, `less than contactCloses, ${pack.contactCloses}`);
  if (!(link.logicDown_V < link.logicUp_V))
    refuse(`link.logicDown_V is ${link.logicDown_V} V`, `less than logicUp_V, ${link.logicUp_V} V`);
  if (bridge.deadTime_s > 0.1 / bridge.pwm_Hz)
    refuse(
      `bridge.deadTime_s is ${bridge.deadTime_s} s`,
      `at most a tenth of the PWM period, ${0.1 / bridge.pwm_Hz} s`,
    );
  if (!(bridge.bootLow_V < bridge.boot_V))
    refuse(`bridge.bootLow_V is ${bridge.bootLow_V} V`, `less than boot_V, ${bridge.boot_V} V`);
  const full = pack.series * pack.ocvCell_V[pack.ocvCell_V.length - 1];
  if (!(full < bridge.avalanche_V))
    refuse(`bridge.avalanche_V is ${bridge.avalanche_V} V`, `more than a full pack has, ${full} V`);
  // 1/Ld + 2 a x + 3 b x^2 > 0 for every x: the d axis stays a stable inductor.
  const { ld_H, satD2, satD3 } = winding;
  if (satD2 ** 2 * ld_H > 3 * satD3)
    refuse(`winding.satD2 is ${satD2} A/Wb²`, 'at most sqrt(3 satD3 / ld_H), else the d axis is no inductor');
  if (winding.halls_rad.length !== 3) refuse(`winding.halls_rad has ${winding.halls_rad.length} angles`, '3');
  const stages = gear.sunTeeth.length;
  for (const key of ['ringTeeth', 'basicEfficiency'] as const) {
    if (gear[key].length !== stages)
      refuse(`gear.${key} has ${gear[key].length} stages`, `as many as sunTeeth, ${stages}`);
  }
  if (gear.stagesInGear.length !== 2) refuse(`gear.stagesInGear has ${gear.stagesInGear.length} gears`, '2');
  for (const n of gear.stagesInGear)
    if (!Number.isInteger(n) || n > stages) refuse(`gear.stagesInGear is ${n}`, `a whole number up to ${stages}`);
  for (let k = 1; k < clutch.settings_Nm.length; k++) {
    if (!(clutch.settings_Nm[k] > clutch.settings_Nm[k - 1]))
      refuse(`clutch.settings_Nm falls at setting ${k + 1}`, 'a rising list');
  }
}
