/**
 * Every signal of the bench, named once. Recorder, checks, page and exports read this table;
 * a signal that is not listed here does not exist.
 *
 * The order is that of the drill: supply, bridge, motor, gear, chuck, screw; then what the controller
 * sensed and commanded. Storage is SI; `show` is the unit a person reads, converted by src/units.
 */
export type Origin = 'truth' | 'sensed' | 'commanded' | 'estimated';

export interface Signal {
  readonly id: string;
  /** SI unit of the stored value, '' when dimensionless. */ readonly unit: string;
  /** Unit a person reads; a key of src/units/convert.ts. */ readonly show: string;
  readonly origin: Origin;
  readonly doc: string;
}

const rows = [
  ['time', 's', 's', 'truth', 'virtual time since the run began'],
  ['packOcv', 'V', 'V', 'truth', 'open-circuit voltage of the pack'],
  ['packCurrent', 'A', 'A', 'truth', 'current out of the pack; negative when it is charged'],
  ['packVoltage', 'V', 'V', 'truth', 'voltage at the pack terminals'],
  ['charge', '', '%', 'truth', 'state of charge, 0 to 1'],
  ['link', 'V', 'V', 'truth', 'DC link voltage at the bridge'],
  ['poleA', 'V', 'V', 'truth', 'pole voltage of leg A, mean over the PWM period'],
  ['poleB', 'V', 'V', 'truth', 'pole voltage of leg B, mean over the PWM period'],
  ['poleC', 'V', 'V', 'truth', 'pole voltage of leg C, mean over the PWM period'],
  ['currentA', 'A', 'A', 'truth', 'phase current A, positive into the motor'],
  ['currentB', 'A', 'A', 'truth', 'phase current B, positive into the motor'],
  ['currentC', 'A', 'A', 'truth', 'phase current C, positive into the motor'],
  ['currentD', 'A', 'A', 'truth', 'direct-axis current, peak of phase'],
  ['currentQ', 'A', 'A', 'truth', 'quadrature-axis current, peak of phase'],
  ['rotorAngle', 'rad', 'deg el', 'truth', 'electrical rotor angle, 0 to 2 pi'],
  ['motorSpeed', 'rad/s', 'rpm', 'truth', 'mechanical speed of the rotor'],
  ['electricalSpeed', 'rad/s', 'Hz el', 'truth', 'electrical speed, pole pairs times motor speed'],
  ['airGapTorque', 'N·m', 'N·m', 'truth', 'air-gap torque of the motor'],
  ['gearTorque', 'N·m', 'N·m', 'truth', 'torque that the gearbox puts on the chuck'],
  ['chuckAngle', 'rad', 'deg', 'truth', 'angle of the chuck, not wrapped'],
  ['chuckSpeed', 'rad/s', 'rpm', 'truth', 'speed of the chuck'],
  ['loadTorque', 'N·m', 'N·m', 'truth', 'torque with which hand and work resist the chuck'],
  ['screwDepth', 'm', 'mm', 'truth', 'depth of the tip of screw or bit in the work'],
  ['clampForce', 'N', 'kN', 'truth', 'force with which the seated head pulls the boards together'],
  ['legHeatA', 'K', '°C', 'truth', 'junction temperature of leg A'],
  ['legHeatB', 'K', '°C', 'truth', 'junction temperature of leg B'],
  ['legHeatC', 'K', '°C', 'truth', 'junction temperature of leg C'],
  ['windingHeat', 'K', '°C', 'truth', 'temperature of the winding'],
  ['magnetHeat', 'K', '°C', 'truth', 'temperature of the magnets'],
  ['cellHeat', 'K', '°C', 'truth', 'temperature of the cells'],
  ['magnetFlux', 'Wb', 'mWb', 'truth', 'flux that the magnets link with a phase, warm and weakened'],
  [
    'packOpen',
    '',
    '',
    'truth',
    'why the pack protection is open: 0 it is not, 1 over-current, 2 cell low, 3 cell high, 4 hot, 5 without a cause',
  ],
  ['avalanches', '', '', 'truth', 'times that the link has reached the avalanche of the switches'],
  ['gearEngaged', '', '', 'truth', 'gear that is in: 0 none, 1 low, 2 high'],
  ['clutchSlip', 'rad', 'deg', 'truth', 'angle by which the clutch has slipped, not wrapped'],
  ['bodyAngle', 'rad', 'deg', 'truth', 'angle of the tool body about the spindle'],
  ['bodySpeed', 'rad/s', 'rad/s', 'truth', 'rate of the tool body about the spindle'],
  ['wristTorque', 'N·m', 'N·m', 'truth', 'torque of the hand on the tool'],
  ['push', 'N', 'N', 'truth', 'force with which the bit is pushed to the work'],
  ['stripped', '', '%', 'truth', 'how far the thread in the wood has given way, 0 to 1'],
  ['shankTwist', 'rad', 'deg', 'truth', 'angle by which the shank of the screw is twisted for good'],
  ['bitJumps', '', '', 'truth', 'times that the bit has jumped over in the recess'],
  ['energyResidual', '', '', 'truth', 'energy that does not balance, as a share of the energy that passed'],
  ['sensedA', 'A', 'A', 'sensed', 'phase current A as its shunt reads it at the sampling instant'],
  ['sensedB', 'A', 'A', 'sensed', 'phase current B as its shunt reads it at the sampling instant'],
  ['sensedC', 'A', 'A', 'sensed', 'phase current C as its shunt reads it at the sampling instant'],
  ['sensedLink', 'V', 'V', 'sensed', 'link voltage from converter counts'],
  ['sensedTrigger', '', '%', 'sensed', 'trigger travel from converter counts, 0 to 1'],
  ['hall', '', '', 'sensed', 'Hall code, A + 2 B + 4 C'],
  ['dutyA', '', '%', 'commanded', 'duty of leg A in force, 0 to 1'],
  ['dutyB', '', '%', 'commanded', 'duty of leg B in force, 0 to 1'],
  ['dutyC', '', '%', 'commanded', 'duty of leg C in force, 0 to 1'],
  ['gates', '', '', 'commanded', 'legs that are driven, A + 2 B + 4 C'],
  ['controllerState', '', '', 'commanded', 'state number that the controller reports'],
  ['tripReason', '', '', 'commanded', 'reason of a trip that the controller reports, 0 for none'],
  ['trigger', '', '%', 'commanded', 'trigger travel that the hand asks for, 0 to 1'],
] as const satisfies readonly (readonly [string, string, string, Origin, string])[];

export type SignalId = (typeof rows)[number][0];

export const SIGNALS: readonly (Signal & { readonly id: SignalId })[] = rows.map(([id, unit, show, origin, doc]) =>
  Object.freeze({ id, unit, show, origin, doc }),
);

/** Column of each signal in a sample vector of SIGNALS.length numbers. */
export const SIGNAL_INDEX: Readonly<Record<SignalId, number>> = Object.freeze(
  Object.fromEntries(rows.map(([id], column) => [id, column])) as Record<SignalId, number>,
);

/** What a signal is, for a sentence: its meaning up to the first comma, such as `speed of the chuck`. */
export function signalPhrase(id: SignalId): string {
  return SIGNALS[SIGNAL_INDEX[id]].doc.split(/[,;:]/, 1)[0];
}
