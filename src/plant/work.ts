/**
 * Scratch of one step: numbers that pass between components while a step is being solved. Every step writes them
 * before it reads them, so they are no state and no part of a snapshot.
 *
 * They travel here and not as arguments for a second reason: an engine boxes a fractional number that it hands to a
 * function it has not inlined, and a step must not allocate. So step functions take the vectors, parameters and small
 * integers, and nothing else.
 */
const rows = [
  // set once per step
  'dt', // length of the stretch being solved
  'period', // PWM period, constant
  'perRatio', // 1 over the reduction of the gear that is in
  'meshLoss',
  'x0d', // rotor-frame flux at the start, magnet excluded
  'x0q',
  'emfCells', // pack voltage behind its series resistance, at mid-step
  'rc1Mid',
  'rc2Mid',
  'packSlope', // 1 / (series resistance), 0 with the contact open
  'linkIdle', // mean link voltage with no current into the bridge
  'linkOhm', // by how much it drops per ampere
  'railA', // legs as sources: share of the link, offset, resistance
  'railB',
  'railC',
  'offsetA',
  'offsetB',
  'offsetC',
  'legA',
  'legB',
  'legC',
  'loadLow', // bounds of the torque that the load can put on the chuck
  'loadHigh',
  'depthMid',
  // renewed each pass
  'iAlpha', // mean current of the step
  'iBeta',
  'vAlpha', // mean winding voltage of the step
  'vBeta',
  'phaseA', // mean phase currents
  'phaseB',
  'phaseC',
  'poleA',
  'poleB',
  'poleC',
  'link', // mean link voltage
  'pack', // mean pack current
  'inverter', // mean current into the high rail of the bridge
  'capacitor', // mean current into the link capacitance
  'psiAlpha', // end of the step
  'psiBeta',
  'airGap', // mean over the step
  'rotor1', // speeds at the end
  'chuck1',
  'twist1',
  'spring', // mean torques
  'damper',
  'rotorHold',
  'chuckHold',
  'cosMid',
  'sinMid',
  'cosHalf',
  'sinc',
  'cos1',
  'sin1',
  'i1Alpha', // current at the end
  'i1Beta',
  'far', // flux by which a blocked phase was moved to zero current
  'share', // share of a stretch at which a diode runs out of current
  'edge', // time in the period of the next edge
] as const;

export type WorkName = (typeof rows)[number];

/** Length of the scratch vector. */
export const WORK_LENGTH = rows.length;

/** Column of a scratch number. */
export function work(name: WorkName): number {
  return rows.indexOf(name);
}
