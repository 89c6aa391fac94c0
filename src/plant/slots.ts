/**
 * The plant vector: every number that the plant remembers, in one Float64Array.
 *
 * A snapshot is a copy of it, the state hash a pass over its bytes, rewinding a restore. Recorder, error
 * messages and tests read this table; no component keeps a state of its own.
 */
export interface Slot {
  readonly name: string;
  /** SI unit, '' when dimensionless. */ readonly unit: string;
  readonly doc: string;
}

const rows = [
  // time
  ['tick', '', 'PWM periods since the start'],
  ['gridStep', '', 'fixed steps done in the running period'],
  ['inPeriod', 's', 'time since the start of the period'],
  ['seed', '', 'state of the noise generator, 32 bits'],
  ['halted', '', '1 after a value was not finite: the plant stands still'],
  // hands
  ['trigger', '', 'trigger travel, 0 to 1'],
  ['direction', '', '1 in, 0 locked, -1 out'],
  ['gear', '', '1 low, 2 high'],
  ['grip', 'N·m', 'largest torque of a hand that grips the chuck, 0 for none'],
  ['meets', '', 'what the chuck meets, index into LOADS'],
  // pack
  ['charge', '', 'state of charge, 0 to 1'],
  ['ocv', 'V', 'open-circuit voltage of the pack, renewed once a period'],
  ['rc1', 'V', 'voltage of the fast RC pair'],
  ['rc2', 'V', 'voltage of the slow RC pair'],
  ['contact', '', '1 while the trigger contact is closed'],
  ['packCurrent', 'A', 'mean pack current of the last step'],
  ['packVoltage', 'V', 'mean voltage at the pack terminals of the last step'],
  // link
  ['capacitor', 'V', 'voltage across the link capacitance, behind its ESR'],
  ['link', 'V', 'mean link voltage of the last step'],
  ['powered', '', '1 while the logic supply is up'],
  // bridge
  ['dutyA', '', 'duty in force'],
  ['dutyB', '', 'duty in force'],
  ['dutyC', '', 'duty in force'],
  ['gates', '', 'legs driven, A + 2 B + 4 C'],
  ['nextDutyA', '', 'duty loaded at the next update point'],
  ['nextDutyB', '', 'duty loaded at the next update point'],
  ['nextDutyC', '', 'duty loaded at the next update point'],
  ['nextGates', '', 'legs driven from the next update point'],
  ['wantA', '', 'switch asked for: 1 high, -1 low, 0 none'],
  ['wantB', '', 'switch asked for: 1 high, -1 low, 0 none'],
  ['wantC', '', 'switch asked for: 1 high, -1 low, 0 none'],
  ['onA', '', 'switch that conducts: 1 high, -1 low, 0 none'],
  ['onB', '', 'switch that conducts: 1 high, -1 low, 0 none'],
  ['onC', '', 'switch that conducts: 1 high, -1 low, 0 none'],
  ['dueA', 's', 'end of the dead time, in the period'],
  ['dueB', 's', 'end of the dead time, in the period'],
  ['dueC', 's', 'end of the dead time, in the period'],
  ['diodeA', '', 'diode that conducts with both switches off: 1 high, -1 low, 0 blocked'],
  ['diodeB', '', 'diode that conducts with both switches off: 1 high, -1 low, 0 blocked'],
  ['diodeC', '', 'diode that conducts with both switches off: 1 high, -1 low, 0 blocked'],
  // winding
  ['psiAlpha', 'Wb', 'stator flux linkage, alpha'],
  ['psiBeta', 'Wb', 'stator flux linkage, beta'],
  ['iAlpha', 'A', 'stator current, alpha'],
  ['iBeta', 'A', 'stator current, beta'],
  ['airGap', 'N·m', 'air-gap torque'],
  // rotor
  ['cos', '', 'cosine of the electrical rotor angle'],
  ['sin', '', 'sine of the electrical rotor angle'],
  ['rotorAngle', 'rad', 'mechanical rotor angle, not wrapped'],
  ['rotorSpeed', 'rad/s', 'mechanical rotor speed'],
  ['hall', '', 'Hall code, A + 2 B + 4 C'],
  ['hallEdge', 's', 'virtual time of the last Hall edge'],
  // gear, chuck, load
  ['twist', 'rad', 'gearbox twist at the output, backlash included'],
  ['gearTorque', 'N·m', 'torque of the gearbox on the chuck'],
  ['chuckAngle', 'rad', 'chuck angle, not wrapped'],
  ['chuckSpeed', 'rad/s', 'chuck speed'],
  ['loadTorque', 'N·m', 'torque of hand, stop or screw on the chuck, resisting when opposite to the speed'],
  ['stopAngle', 'rad', 'chuck angle at which a hard stop is met, turning in'],
  ['depth', 'm', 'depth of the screw tip'],
  ['stripped', '', '1 after the thread in the wood has given way'],
  // means over the period, for the observer
  ['poleA', 'V·s', 'volt-seconds of pole A in the running period'],
  ['poleB', 'V·s', 'volt-seconds of pole B in the running period'],
  ['poleC', 'V·s', 'volt-seconds of pole C in the running period'],
  ['meanA', 'V', 'mean pole voltage A of the last whole period'],
  ['meanB', 'V', 'mean pole voltage B of the last whole period'],
  ['meanC', 'V', 'mean pole voltage C of the last whole period'],
  // energy accounts, joule since the start
  ['passed', 'J', 'energy that passed: sum of the magnitude of what the cells gave and took'],
  ['source', 'J', 'energy out of the cells'],
  ['lossPack', 'J', 'heat in the pack and its contact'],
  ['lossLink', 'J', 'heat in the ESR of the link'],
  ['lossLogic', 'J', 'energy into the logic supply'],
  ['lossSwitch', 'J', 'heat in the switches'],
  ['lossDiode', 'J', 'heat in the body diodes'],
  ['lossShunt', 'J', 'heat in the shunts'],
  ['lossCopper', 'J', 'heat in the winding'],
  ['lossRotor', 'J', 'friction and windage of the rotor'],
  ['lossGear', 'J', 'friction and damping of the gearbox'],
  ['lossChuck', 'J', 'friction of the chuck bearing'],
  ['work', 'J', 'work on hand, stop and screw'],
  ['stored0', 'J', 'energy stored at the start'],
] as const satisfies readonly (readonly [string, string, string])[];

export type SlotName = (typeof rows)[number][0];

export const SLOTS: readonly Slot[] = rows.map(([name, unit, doc]) => Object.freeze({ name, unit, doc }));

const columns = new Map<string, number>(rows.map(([name], column) => [name, column]));

/** Column of a slot in the plant vector. */
export function slot(name: SlotName): number {
  return columns.get(name) as number;
}
