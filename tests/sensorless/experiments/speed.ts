/**
 * Up to full speed and round: run-up with the whole torque current, no-load speed, reversals.
 *
 * Run-up    ramp of the reference taken away and the speed loop four times stiffer, so that it asks for all that the limit allows
 *           almost to the end; bare rotor and chuck.
 * No-load   speed held against link / (sqrt 3 * pole pairs * magnet flux): what the linear range of the voltage allows.
 * Reversal  the switch is thrown at full speed with the trigger held; its time ends at 95 % of the speed the other way.
 */
import { LINK_HIGH_V } from '../../../src/control/guard/link.ts';
import { factsOf } from '../facts.ts';
import { both, type Conditions, Rig } from '../rig.ts';
import { deviation, mean, type Row } from '../rows.ts';

/** Sampled current that opens the legs, 1.5 times the limit [A]; link voltage of the guard for five cells [V]. */
const OVER_SHARE = 1.5;
const LINK_V = 5 * LINK_HIGH_V;
const FAST = { ramp_rad_s2: 1e9, rampLead_rad_s: 1e5, speedBand_rad_s: 2 * Math.PI * 60 };

/** Speed that the linear range of the voltage allows without load [rad/s]. */
function voltageLimit_rad_s(rig: Rig): number {
  const { polePairs } = rig.plant.params.winding;
  return rig.plant.read('link') / (Math.sqrt(3) * polePairs * rig.plant.read('magnet'));
}

export function runUpRows(conditions: Conditions): Row[] {
  const rig = new Rig({ ...both(conditions, { settings: FAST }), seed: 11, angle_rad: 2 });
  const facts = rig.sensorless?.facts;
  rig.pull(1);
  let up_s = 0;
  let most_A = 0;
  const run = rig.run(0.2, () => {
    if (rig.tracks) most_A = Math.max(most_A, rig.iq_A);
    if (rig.tracks && rig.plant.read('rotorSpeed') < 2000) up_s += rig.plant.period_s;
    return undefined;
  });
  const how = 'trigger pulled to the end, speed ramp taken away, bare chuck in the high gear';
  return [
    { name: 'run-up: torque current reached', value: most_A, unit: 'A', least: 0.95 * (facts?.most_A ?? 0), how },
    { name: 'run-up: from the first torque to 2000 rad/s', value: 1e3 * up_s, unit: 'ms', how },
    { name: 'run-up: speed at the end', value: run.endSpeed_rad_s, unit: 'rad/s', least: 2000, how },
    { name: 'run-up: losses of lock and trips', value: run.losses + run.trips, unit: '', most: 0, how },
    { name: 'run-up: angle error, worst', value: run.errorWorst_deg, unit: 'deg el', most: 30, how },
  ];
}

export function noLoadRows(conditions: Conditions, charges: readonly number[]): Row[] {
  return charges.flatMap((charge) => {
    const rig = new Rig({ ...both(conditions, { change: { pack: { charge } } }), seed: 12, angle_rad: 1 });
    rig.pull(1);
    rig.run(0.3);
    const run = rig.run(0.05);
    const limit = voltageLimit_rad_s(rig);
    const how = `bare chuck, pack charged to ${charge}, link ${rig.plant.read('link').toFixed(1)} V`;
    return [
      {
        name: `no-load speed over the voltage limit, charge ${charge}`,
        value: (100 * run.speed_rad_s) / limit,
        unit: '%',
        least: 95,
        how,
      },
      { name: `no-load speed, charge ${charge}`, value: run.speed_rad_s, unit: 'rad/s', how },
      { name: `angle error at no-load speed, charge ${charge}`, value: run.errorWorst_deg, unit: 'deg el', how },
    ];
  });
}

/** Reversals in rows of ten, each row with its own seed and start angle. `hard`: at the current limit, without the ramp. */
export function reversalRows(conditions: Conditions, count: number, hard = false): Row[] {
  const times: number[] = [];
  let [peak, link, worst, bad] = [0, 0, 0, 0];
  for (let k = 0; k < count; ) {
    const rig = new Rig({
      ...(hard ? both(conditions, { settings: FAST }) : conditions),
      seed: 20 + k,
      angle_rad: 0.6 * k,
    });
    const { plant } = rig;
    rig.pull(1);
    rig.run(0.3);
    const full = Math.abs(plant.read('rotorSpeed'));
    for (let j = 0; j < 10 && k < count; j++, k++) {
      // Thrown at another phase of the rotor each time.
      rig.run(0.02 + 0.0013 * j);
      const side = -plant.hands.get('direction');
      plant.hands.set('direction', side);
      let reached = false;
      let n = 0;
      const run = rig.run(0.8, () => {
        n++;
        reached = side * plant.read('rotorSpeed') > 0.95 * full;
        return reached;
      });
      times.push(reached ? n * plant.period_s : Number.POSITIVE_INFINITY);
      peak = Math.max(peak, run.peak_A);
      link = Math.max(link, run.link_V);
      worst = Math.max(worst, run.errorWorst_deg);
      bad += run.losses + run.trips;
    }
  }
  const how = `${count} reversals from full speed, high gear, bare chuck, trigger held${hard ? ', no speed ramp' : ''}`;
  const name = hard ? 'hard reversal' : 'reversal';
  const middle = mean(times);
  return [
    { name: `${name}: time, mean`, value: 1e3 * middle, unit: 'ms', how },
    {
      name: `${name}: spread of the time, widest over mean`,
      value: (100 * (Math.max(...times) - Math.min(...times))) / middle,
      unit: '%',
      most: 20,
      how,
    },
    { name: `${name}: deviation of the time`, value: (100 * deviation(times)) / middle, unit: '%', how },
    { name: `${name}: largest current`, value: peak, unit: 'A', most: OVER_SHARE * factsOf().most_A, how },
    { name: `${name}: largest link voltage`, value: link, unit: 'V', most: LINK_V, how },
    { name: `${name}: losses of lock and trips`, value: bad, unit: '', most: 0, how },
    { name: `${name}: angle error, worst`, value: worst, unit: 'deg el', most: 30, how },
  ];
}
