/** Which signals there are when the motor turns elsewhere, and why the others have no reading. */
import { SIGNAL_INDEX, type SignalId } from '../signals.ts';
import { observeTruth } from './observe.ts';
import type { Plant } from './plant.ts';

const BRIDGE = 'bridge and winding are on the board';
const CONVERTER = 'the board has no converter readings from the drill';
const ROTOR = 'the board reports the angle of its shaft since power-up, not where its magnets are';
const HEAT = 'the board does not report what heats it';
const BODY = 'the tool stands as in a vice';

/** Why a signal has no reading in rate-split; what is not named here has one. */
export const ABSENT: Readonly<Partial<Record<SignalId, string>>> = Object.freeze({
  poleA: BRIDGE,
  poleB: BRIDGE,
  poleC: BRIDGE,
  currentA: BRIDGE,
  currentB: BRIDGE,
  currentC: BRIDGE,
  currentD: BRIDGE,
  currentQ: BRIDGE,
  rotorAngle: ROTOR,
  electricalSpeed: 'the pole pairs are those of the motor of the board',
  airGapTorque: 'the board reports the torque of its shaft, without its own friction and inertia',
  legHeatA: HEAT,
  legHeatB: HEAT,
  legHeatC: HEAT,
  magnetHeat: HEAT,
  magnetFlux: HEAT,
  avalanches: BRIDGE,
  bodyAngle: BODY,
  bodySpeed: BODY,
  wristTorque: BODY,
  energyResidual: 'the motor is outside the drill, so nothing balances over it',
  sensedA: CONVERTER,
  sensedB: CONVERTER,
  sensedC: CONVERTER,
  sensedLink: CONVERTER,
  hall: CONVERTER,
  dutyA: BRIDGE,
  dutyB: BRIDGE,
  dutyC: BRIDGE,
  gates: BRIDGE,
});
const COLUMNS = (Object.keys(ABSENT) as SignalId[]).map((id) => SIGNAL_INDEX[id]);

/** Fills the `truth` columns of a sample from the state, with NaN wherever only the motor would know. */
export function observeSlow(drill: Plant, time_s: number, out: Float64Array): void {
  observeTruth(drill, out);
  out[SIGNAL_INDEX.time] = time_s;
  for (let k = 0; k < COLUMNS.length; k++) out[COLUMNS[k]] = Number.NaN;
}
