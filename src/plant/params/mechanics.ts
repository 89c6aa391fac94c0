/** Parameters of rotor, gearbox, clutch, chuck and of the tool in the hand. */
import { list, number, type ValuesOf, whole } from './band.ts';

export const SHAFT = Object.freeze({
  rotor_kgm2: number(1e-8, 0.1, 'kg·m²', 'inertia of the rotor and what turns with it'),
  rotorFriction_Nm: number(0, 1, 'N·m', 'dry friction of the rotor bearings'),
  rotorViscous_Nms: number(0, 1e-2, 'N·m·s', 'viscous friction of the rotor'),
  windage_Nms2: number(0, 1e-6, 'N·m·s²', 'fan and windage: torque per speed squared'),
  chuck_kgm2: number(1e-7, 0.1, 'kg·m²', 'inertia of chuck and bit'),
  chuckFriction_Nm: number(0, 2, 'N·m', 'dry friction of the chuck bearing'),
});
export type ShaftParams = ValuesOf<typeof SHAFT>;

export const GEAR = Object.freeze({
  sunTeeth: list(5, 200, '', 'teeth of the sun of each planetary stage, motor side first'),
  ringTeeth: list(10, 400, '', 'teeth of its fixed ring'),
  stagesInGear: list(1, 4, '', 'stages that work in gear 1 (low) and in gear 2 (high)'),
  basicEfficiency: list(0.8, 1, '', 'efficiency of each stage with its carrier held'),
  halfPlay_rad: number(0, 0.3, 'rad', 'half of the free play, at the output'),
  stiffness_Nm_rad: number(1, 1e5, 'N·m/rad', 'torsional stiffness at the output'),
  damping_Nms: number(0, 10, 'N·m·s', 'damping of a contact'),
  shift_s: number(0, 1, 's', 'time for which the selector is in neutral on its way'),
  engage_rad_s: number(0.1, 1e3, 'rad/s', 'largest difference of speeds at the output at which the dogs catch'),
});
export type GearParams = ValuesOf<typeof GEAR>;

export const CLUTCH = Object.freeze({
  settings_Nm: list(0.1, 200, 'N·m', 'torque of each setting, rising; setting 0 of the hand locks the clutch'),
  detents: whole(3, 60, 'detents on a turn'),
  ratchetShare: number(0, 1, '', 'torque between two detents, as a share of the setting'),
});
export type ClutchParams = ValuesOf<typeof CLUTCH>;

export const BODY = Object.freeze({
  body_kgm2: number(1e-4, 1, 'kg·m²', 'inertia of tool and hand about the spindle'),
  wrist_Nm_rad: number(1, 1000, 'N·m/rad', 'stiffness of wrist and arm'),
  wrist_Nms: number(0, 50, 'N·m·s', 'damping of wrist and arm'),
  wristGrip_Nm: number(0.5, 200, 'N·m', 'torque at which the tool turns in the hand'),
});
export type BodyParams = ValuesOf<typeof BODY>;
