/**
 * Scratch: numbers that pass between the parts of the plant while an update is being computed. They are written before
 * they are read, so they are no state and no part of a snapshot.
 *
 * They travel here and not as arguments for a second reason: an engine boxes a fractional number that it hands to a
 * function it has not inlined, and a step must not allocate. So step functions take the vectors, parameters and small
 * integers, and nothing else.
 */
const rows = [
  // constant
  'period', // length of an update interval
  'pwmHalf', // half a PWM period
  'longest', // longest step
  // renewed once an update by the slow models
  'emfCells', // pack voltage behind its series resistance, RC pairs at mid-update
  'packOhm', // series resistance; 0 conductance with the contact open
  'esrMore', // of the link
  'tauMore', // what faults add to the resistance of the circuit, over twice its inductance
  'closed', // 1 while contact and protection let current pass
  'rc1Mid',
  'rc2Mid',
  'windingOhm',
  'turns', // share of the turns of phase A that is shorted
  'loopOhm', // resistance of the loop that this makes
  'jointOhmA', // resistance of a bad joint behind the leg
  'jointOhmB',
  'jointOhmC',
  'minusA', // conductance of a short from the output of the leg to minus
  'minusB',
  'minusC',
  'pair', // motor wires that are shorted: 0 none, 1 A and B, 2 B and C, 3 A and C
  'pairS', // conductance of that short
  'highA', // on-resistances of the switches, warm, with the gate voltage they have
  'highB',
  'highC',
  'lowA',
  'lowB',
  'lowC',
  'diode', // threshold of the body diodes, warm
  'perRatio', // 1 over the reduction of the gear that is in, 0 in neutral
  'meshForth', // mesh friction as a share of the torque passed, power flowing to the chuck
  'meshBack', // and back from it
  'play', // half of the free play
  'slipLimit', // twist of the teeth at which the clutch lets go
  'bound', // dry friction of the rotor without mesh
  'drag', // drag per speed of the rotor
  'body', // inertia of the tool body, without end in a vice
  'hand', // torque of wrist and hand on the tool
  'loadLow', // bounds of the torque that the load can put on the chuck, at the chuck angle loadFrom
  'loadHigh',
  'loadLowSlope', // their change per radian
  'loadHighSlope',
  'loadFrom',
  'wall', // chuck angle beyond which a rigid stop holds
  'bitRides', // 1 the bit gives way before the screw turning in, 2 turning out
  'shankYields', // 1 the shank gives way before the thread
  // renewed at every change of a switch or diode
  'blocked', // phase that is blocked, -1 none, 3 all
  'railA', // phases as sources: share of the link, offset, resistance
  'railB',
  'railC',
  'offsetA',
  'offsetB',
  'offsetC',
  'legA',
  'legB',
  'legC',
  'shuntA', // 1 while the current of the phase passes a shunt
  'shuntB',
  'shuntC',
  'signA', // diode that conducts: 1 high, -1 low, 0 none
  'signB',
  'signC',
  'jointA', // resistance of a bad joint in the phase
  'jointB',
  'jointC',
  'shortA', // part of the heat of the phase current in its leg that a short to minus takes
  'shortB',
  'shortC',
  'pastA', // and of what flows across the link
  'pastB',
  'pastC',
  'acrossA', // conductance that a shorted leg puts across the link
  'acrossB',
  'acrossC',
  'topRail', // bounds of the pole of a blocked phase: share of the link, and voltage
  'topV',
  'lowRail',
  'lowV',
  'pairFloats', // 1 while two shorted outputs float; 2, 3 beside a third leg that is high, low
  'mutual', // resistance that two shorted legs have in common
  'pairAA', // resistances of their network
  'pairAB',
  'pairBB',
  ...Array.from({ length: 28 }, (_, k) => `pairRow${k}` as const), // and its parts: conductance, shares of link and currents
  // renewed for every stretch: constants that hang on the length of its steps
  'lead', // 2 L / dt of the pack leads
  'slope', // conductance of cells and leads
  'load', // conductance across the link
  'avalancheS', // part of it that the avalanche is
  'drop', // link voltage per capacitor voltage
  'linkOhm', // drop of the link voltage per ampere
  'idleFix', // link voltage from cells and avalanche
  'idleLead', // and per ampere in the leads
  'perC', // dt / C
  'inertia', // rotor, chuck: J / dt
  'perRotor',
  'chuck',
  'bodyBack', // share of a change of rotor speed that the body takes
  'bodyPush', // dt / J of the body
  'toBody', // share of the outward torque that the rotor feels
  'again', // how often more the mean current is guessed in a step
  'perLoop', // of the loop of shorted turns: 1 / (L + R dt / 2)
  'keepLoop', // and L - R dt / 2
  'sumCharge', // sums over the steps of the stretch, taken when it ends
  'sumPack',
  'sumLink',
  'sumLink2',
  'sumAvalanche',
  'sumHeatA',
  'sumHeatB',
  'sumHeatC',
  'sumSquareA', // of the currents of the phases
  'sumSquareB',
  'sumSquareC',
  'sumRing', // heat of shorted turns beyond that
  'sumHold',
  'sumMesh',
  'sumDrag',
  'sumGear',
  'sumClutch',
  'sumChuck',
  'sumWork',
  'sumPoleA',
  'sumPoleB',
  'sumPoleC',
  'pairHeat', // heat in the network of two shorted legs
  'pairPart', // time since energy was booked
  // the stretch to be solved
  'part', // length of a single step that is asked for
  // results of a step that was solved and not taken
  'i1Alpha',
  'i1Beta',
  'poleA',
  'poleB',
  'poleC',
  'link1',
  'share', // share of a step at which a diode runs out of current
  'fromAlpha', // current at the start of the stretch
  'fromBeta',
  'edge', // time in the update interval of the next edge
] as const;

export type WorkName = (typeof rows)[number];

/** Length of the scratch vector. */
export const WORK_LENGTH = rows.length;

/** Column of a scratch number. */
export function work(name: WorkName): number {
  return rows.indexOf(name);
}
