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
  ['tick', '', 'updates (PWM periods, or halves of them) since the start'],
  ['half', '', '1 in the second half of a PWM period with two updates'],
  ['inPeriod', 's', 'time since the start of the update interval'],
  ['stretchEnd', 's', 'end of the running stretch, in which no switch changes, in the update interval'],
  ['stepLength', 's', 'length of its equal steps'],
  ['stepsLeft', '', 'steps that are left of it'],
  ['events', '', 'changes of diodes or avalanche within the running stretch'],
  ['seed', '', 'state of the noise generator, 32 bits'],
  ['halted', '', '1 after a value was not finite: the plant stands still'],
  // hands
  ['trigger', '', 'trigger travel, 0 to 1'],
  ['direction', '', '1 in, 0 locked, -1 out'],
  ['gear', '', 'gear asked for: 0 neutral, 1 low, 2 high'],
  ['clutch', '', 'clutch setting, 0 locked'],
  ['grip', 'N·m', 'largest torque of a hand that grips the chuck, 0 for none'],
  ['meets', '', 'what the chuck meets, index into LOADS'],
  ['wrist', '', 'firmness of the hand on the tool: share of the wrist in the parameters, 0 for a tool in a vice'],
  ['ambient', 'K', 'temperature of the air'],
  // damage: what a fault has done to the drill
  ['brokenA', '', 'leg A: bits of BROKEN'],
  ['brokenB', '', 'leg B: bits of BROKEN'],
  ['brokenC', '', 'leg C: bits of BROKEN'],
  ['wiring', '', 'phases at the legs: 0 as drawn, 1 A and B swapped, 2 B and C, 3 A and C'],
  ['fluxLost', '', 'share of the magnet flux that is lost for good'],
  // pack
  ['charge', '', 'state of charge, 0 to 1, mean of the cells'],
  ['ocv', 'V', 'open-circuit voltage of the pack, renewed once an update'],
  ['packOhm', 'ohm', 'series resistance of cells and leads, renewed once an update'],
  ['rc1', 'V', 'voltage of the fast RC pair'],
  ['rc2', 'V', 'voltage of the slow RC pair'],
  ['contact', '', '1 while the trigger contact is closed'],
  ['contactWant', '', '1 while the trigger holds the contact closed; it may bounce'],
  ['bounceFor', 's', 'time since the contact closed'],
  ['protection', '', 'why the pack protection is open: 0 it is not, else index into PROTECTIONS'],
  ['overFor', 's', 'time for which the pack current is above its limit'],
  ['outFor', 's', 'time for which a cell is outside its limits'],
  ['cellHeat', 'K', 'temperature of the cells'],
  ['packMean', 'A', 'mean pack current of the last update'],
  ['packMark', 'J', 'lossPack at the last update'],
  ['packCurrent', 'A', 'pack current, at the end of the last step'],
  ['packVoltage', 'V', 'voltage at the pack terminals'],
  // link
  ['capacitor', 'V', 'voltage across the link capacitance, behind its ESR'],
  ['link', 'V', 'mean link voltage of the last step'],
  ['avalanche', '', '1 while the switches avalanche'],
  ['avalanches', '', 'times that the link has reached the avalanche of the switches'],
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
  ['onA', '', 'switch whose gate is on: 1 high, -1 low, 0 none'],
  ['onB', '', 'switch whose gate is on: 1 high, -1 low, 0 none'],
  ['onC', '', 'switch whose gate is on: 1 high, -1 low, 0 none'],
  ['dueA', 's', 'end of the dead time, in the update interval'],
  ['dueB', 's', 'end of the dead time, in the update interval'],
  ['dueC', 's', 'end of the dead time, in the update interval'],
  ['diodeA', '', 'diode that conducts where no switch does: 1 high, -1 low, 0 blocked'],
  ['diodeB', '', 'diode that conducts where no switch does: 1 high, -1 low, 0 blocked'],
  ['diodeC', '', 'diode that conducts where no switch does: 1 high, -1 low, 0 blocked'],
  ['bootA', 'V', 'gate supply of the high switch'],
  ['bootB', 'V', 'gate supply of the high switch'],
  ['bootC', 'V', 'gate supply of the high switch'],
  ['heatA', 'K', 'junction temperature of leg A'],
  ['heatB', 'K', 'junction temperature of leg B'],
  ['heatC', 'K', 'junction temperature of leg C'],
  ['sinkHeat', 'K', 'temperature of the sink of the legs'],
  ['floatPole', 'V', 'mean pole voltage of the blocked leg in the last step'],
  // winding
  ['psiAlpha', 'Wb', 'stator flux linkage, alpha'],
  ['psiBeta', 'Wb', 'stator flux linkage, beta'],
  ['fluxD', 'Wb', 'flux of the d axis that is not the magnet’s'],
  ['fluxQ', 'Wb', 'flux of the q axis that is not the magnet’s'],
  ['iAlpha', 'A', 'stator current, alpha'],
  ['iBeta', 'A', 'stator current, beta'],
  ['slopeAlpha', 'A/s', 'slope of the current, alpha: first guess of the next step'],
  ['slopeBeta', 'A/s', 'slope of the current, beta'],
  ['airGap', 'N·m', 'air-gap torque without cogging'],
  ['magnet', 'Wb', 'magnet flux as it is now, warm and weakened'],
  ['windingHeat', 'K', 'temperature of the winding'],
  ['housingHeat', 'K', 'temperature of the housing'],
  ['magnetHeat', 'K', 'temperature of the magnets'],
  // rotor
  ['cos', '', 'cosine of the electrical rotor angle'],
  ['sin', '', 'sine of the electrical rotor angle'],
  ['frameCos', '', 'cosine of the electrical rotor angle at the start of the update'],
  ['frameSin', '', 'sine of it'],
  ['rotorStart', 'rad/s', 'rotor speed at the start of the update'],
  ['slotCos', '', 'cosine of the rotor angle times the slots'],
  ['slotSin', '', 'sine of the rotor angle times the slots'],
  ['rotorAngle', 'rad', 'mechanical rotor angle against the stator, not wrapped'],
  ['rotorSpeed', 'rad/s', 'mechanical rotor speed against the stator'],
  ['hall', '', 'Hall code, A + 2 B + 4 C'],
  ['hallEdge', 's', 'virtual time of the last Hall edge'],
  // gear, clutch, chuck, tool, load
  ['engaged', '', 'gear that is in: 0 none, 1 low, 2 high'],
  ['shiftFor', 's', 'time that the selector still stays in neutral'],
  ['twist', 'rad', 'gearbox twist at the output, backlash included'],
  ['twistRate', 'rad/s²', 'slope of the rate of twist in the last step: first guess of the next one'],
  ['gearTorque', 'N·m', 'torque of the gearbox on the chuck'],
  ['slipAngle', 'rad', 'angle by which the clutch has slipped, not wrapped'],
  ['chuckAngle', 'rad', 'chuck angle against the work, not wrapped'],
  ['chuckSpeed', 'rad/s', 'chuck speed against the work'],
  ['bodyAngle', 'rad', 'angle of the tool body about the spindle'],
  ['bodySpeed', 'rad/s', 'rate of the tool body'],
  ['bodyAccel', 'rad/s²', 'angular acceleration of the tool body, mean of the last update'],
  ['wristTwist', 'rad', 'deflection of the wrist'],
  ['wristStore', 'J', 'energy in wrist and arm'],
  ['wristTorque', 'N·m', 'torque of the hand on the tool'],
  ['loadTorque', 'N·m', 'torque of hand, stop or screw on the chuck, resisting when opposite to the speed'],
  ['stopAngle', 'rad', 'chuck angle at which a hard stop or joint is met, turning in'],
  ['depth', 'm', 'depth of screw tip or bit'],
  ['stripped', '', '1 after the thread in the wood has given way'],
  // means over the update, for the observer
  ['poleA', 'V·s', 'volt-seconds of pole A in the running update'],
  ['poleB', 'V·s', 'volt-seconds of pole B in the running update'],
  ['poleC', 'V·s', 'volt-seconds of pole C in the running update'],
  ['meanA', 'V', 'mean pole voltage A of the last whole update'],
  ['meanB', 'V', 'mean pole voltage B of the last whole update'],
  ['meanC', 'V', 'mean pole voltage C of the last whole update'],
  // running sums of the update, emptied by the slow models at its end
  ['sumCharge', 'A·s', 'charge out of the cells'],
  ['sumHeatA', 'J', 'heat in leg A'],
  ['sumHeatB', 'J', 'heat in leg B'],
  ['sumHeatC', 'J', 'heat in leg C'],
  ['sumCopper', 'J', 'heat in the winding'],
  ['sumHold', 'J', 'heat of dry friction at the rotor: bearing, iron hysteresis, mesh'],
  ['sumMesh', 'J', 'mesh friction in it'],
  ['sumDrag', 'J', 'heat of drag that grows with speed: viscous, windage, eddy currents'],
  ['bodyStart', 'rad/s', 'body rate at the start of the update'],
  ['bodyFrom', 'rad', 'body angle at the start of the update'],
  // energy accounts, joule since the start
  ['passed', 'J', 'energy that passed: sum of the magnitude of what the cells gave and took'],
  ['source', 'J', 'energy out of the cells'],
  ['lossPack', 'J', 'heat in the pack, its leads and contact'],
  ['lossLink', 'J', 'heat in the ESR of the link'],
  ['lossLogic', 'J', 'energy into the logic supply'],
  ['lossSwitch', 'J', 'heat in the switches, conducting'],
  ['lossEdge', 'J', 'heat in the switches, switching'],
  ['lossDiode', 'J', 'heat in the body diodes'],
  ['lossAvalanche', 'J', 'heat of avalanche in the switches'],
  ['lossShunt', 'J', 'heat in the shunts'],
  ['lossCopper', 'J', 'heat in the winding'],
  ['lossIron', 'J', 'heat in the iron'],
  ['lossRotor', 'J', 'friction and windage of the rotor'],
  ['lossGear', 'J', 'friction and damping of the gearbox'],
  ['lossClutch', 'J', 'heat of the slipping clutch'],
  ['lossChuck', 'J', 'friction of the chuck bearing'],
  ['lossWrist', 'J', 'energy that hand and arm take'],
  ['work', 'J', 'work on hand, stop, screw, bit or joint'],
  ['stored0', 'J', 'energy stored at the start'],
  // cells, each of the series
  ...Array.from({ length: 14 }, (_, k) => [`cell${k}`, '', `state of charge of cell ${k}`] as const),
  ...Array.from({ length: 14 }, (_, k) => [`cellOhm${k}`, '', `resistance of cell ${k} over the mean`] as const),
  ...Array.from({ length: 14 }, (_, k) => [`cellSize${k}`, '', `capacity of cell ${k} over the mean`] as const),
] as const satisfies readonly (readonly [string, string, string])[];

type CellSlot = `cell${number}` | `cellOhm${number}` | `cellSize${number}`;
export type SlotName = Exclude<(typeof rows)[number][0], CellSlot> | CellSlot;

export const SLOTS: readonly Slot[] = rows.map(([name, unit, doc]) => Object.freeze({ name, unit, doc }));

const columns = new Map<string, number>(rows.map(([name], column) => [name, column]));

/** Column of a slot in the plant vector. */
export function slot(name: SlotName): number {
  return columns.get(name) as number;
}
