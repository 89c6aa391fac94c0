/**
 * Slow under load and blocked: what a drive without a rotor sensor is doubted for.
 *
 * Crawl   3 % of full speed in the high gear; a hand brakes the chuck with four fifths of what the current limit can do, for 2 s.
 * Block   a hand holds the chuck for 3 s; the start angle of the rotor, in twelve steps, sets the angle at which it is held,
 *         because backlash and wind-up of the gear are the same each time. Then the hand gives way over a second.
 */

import { rated_Nm } from '../facts.ts';
import { type Conditions, degrees, fullSpeed_rad_s, Rig, type Span, travelFor } from '../rig.ts';
import type { Row } from '../rows.ts';

const CRAWL_SHARE = 0.03;
const HAND_SHARE = 0.8;
/** A hand that nothing turns [N·m]. */
const BLOCK_NM = 100;

/**
 * Torque of a hand that just stops the turning chuck [N·m]: the hand closes from seven tenths of the estimate over a second, and
 * its torque is taken when the chuck has stood for 30 ms. Not a number when the controller lost its angle meanwhile.
 */
export function stallTorque_Nm(conditions: Conditions, gear: 1 | 2 = 2): number {
  const rig = new Rig({ ...conditions, seed: 31, angle_rad: 1 });
  const { plant } = rig;
  plant.hands.set('gear', gear);
  // Slowly, so that the momentum of the rotor adds next to nothing: 200 rad/s lost in a tenth of a second is 7 mN·m.
  rig.pull(travelFor(0.1));
  rig.run(0.3);
  const about_Nm = rated_Nm() * (gear === 1 ? 3.5 * 0.96 : 1);
  const still = Math.round(0.03 / plant.period_s);
  let n = 0;
  let lost = 0;
  for (let j = 1; j <= 20; j++) {
    plant.hands.set('grip', (0.7 * about_Nm * j) / 20);
    lost += rig.run(0.02).losses;
  }
  for (let grip_Nm = 0.7 * about_Nm; grip_Nm < 1.4 * about_Nm; grip_Nm += 0.005 * about_Nm) {
    plant.hands.set('grip', grip_Nm);
    const part = rig.run(0.007, () => {
      n = plant.read('chuckSpeed') < 0.05 ? n + 1 : 0;
      return undefined;
    });
    lost += part.losses;
    if (n >= still) return lost === 0 ? grip_Nm : Number.NaN;
  }
  return Number.NaN;
}

/** Crawling against a hand. `stall_Nm` is the torque at the current limit as it was measured. */
export function crawlRows(
  conditions: Conditions,
  stall_Nm: number,
  angles: number,
  brake_s = 2,
  share = HAND_SHARE,
): Row[] {
  let [worst, rms, losses, slow, fast, stopped] = [0, 0, 0, Number.POSITIVE_INFINITY, 0, 0];
  let iq = 0;
  const top = fullSpeed_rad_s(conditions);
  for (let k = 0; k < angles; k++) {
    const rig = new Rig({ ...conditions, seed: 40 + k, angle_rad: (2 * Math.PI * k) / angles });
    rig.pull(travelFor(CRAWL_SHARE));
    rig.run(0.3);
    // The hand closes over a fifth of a second, holds, and is measured while it holds.
    const parts = 20;
    for (let j = 1; j <= parts; j++) {
      rig.plant.hands.set('grip', (share * stall_Nm * j) / parts);
      const part = rig.run(0.2 / parts);
      worst = Math.max(worst, part.errorWorst_deg);
      losses += part.losses + part.trips;
    }
    const run = rig.run(brake_s);
    worst = Math.max(worst, run.errorWorst_deg);
    rms = Math.max(rms, run.errorRms_deg);
    losses += run.losses + run.trips;
    iq = Math.max(iq, run.iq_A);
    slow = Math.min(slow, run.speed_rad_s / top);
    fast = Math.max(fast, run.speed_rad_s / top);
    if (run.slowestChuck_rad_s <= 0) stopped++;
  }
  const how = `high gear, ${angles} rotor angles, hand of ${(share * stall_Nm).toFixed(1)} N·m for ${brake_s} s`;
  const asked = (share: number) => (100 * share) / CRAWL_SHARE;
  return [
    { name: 'crawl: speed under the hand over that asked for, least', value: asked(slow), unit: '%', least: 80, how },
    { name: 'crawl: speed under the hand over that asked for, most', value: asked(fast), unit: '%', most: 120, how },
    { name: 'crawl: runs in which the chuck stood for a moment', value: stopped, unit: '', how },
    { name: 'crawl: angle error, worst', value: worst, unit: 'deg el', most: 15, how },
    { name: 'crawl: angle error, rms', value: rms, unit: 'deg el', how },
    { name: 'crawl: torque current, mean', value: iq, unit: 'A', how },
    { name: 'crawl: losses of lock and trips', value: losses, unit: '', most: 0, how },
  ];
}

/** Blocked at `angles` angles, then let go slowly. */
export function blockRows(conditions: Conditions, stall_Nm: number, angles: number, block_s = 3): Row[] {
  let [worst, losses, back] = [0, 0, 0];
  let [full, hold, steady, creep] = [1, 1, 1, 1].map(() => Number.POSITIVE_INFINITY);
  const held: number[] = [];
  for (let k = 0; k < angles; k++) {
    const rig = new Rig({ ...conditions, seed: 60 + k, angle_rad: (2 * Math.PI * k) / angles });
    const { plant } = rig;
    plant.hands.set('grip', BLOCK_NM);
    rig.pull(travelFor(0.3));
    const wind = rig.run(0.35);
    const first = rig.run(0.1);
    const turn = rig.truth_rad / (2 * Math.PI);
    held.push(360 * (turn - Math.floor(turn)));
    // The stall is seen, the current lowered, the gear unwinds.
    const change = rig.run(0.75);
    rig.pull(travelFor(CRAWL_SHARE));
    const rest = rig.run(block_s - 1.2);
    const from = plant.read('chuckAngle');
    let furthest = from;
    const free: Span[] = [];
    const parts = 50;
    for (let j = parts - 1; j >= 0; j--) {
      plant.hands.set('grip', (1.1 * stall_Nm * j) / parts);
      free.push(
        rig.run(1 / parts, () => {
          const now = plant.read('chuckAngle');
          furthest = Math.max(furthest, now);
          back = Math.max(back, furthest - now);
          return undefined;
        }),
      );
    }
    creep = Math.min(creep, plant.read('chuckAngle') - from);
    for (const part of [wind, first, change, rest, ...free]) {
      losses += part.losses + part.trips;
      worst = Math.max(worst, part.errorWorst_deg);
    }
    steady = Math.min(steady, first.leastTorque_Nm / first.torque_Nm, rest.leastTorque_Nm / rest.torque_Nm);
    full = Math.min(full, first.torque_Nm / stall_Nm);
    hold = Math.min(hold, rest.torque_Nm / stall_Nm);
  }
  held.sort((a, b) => a - b);
  const gaps = held.map((angle, k) => (k === 0 ? angle + 360 - held[held.length - 1] : angle - held[k - 1]));
  const how = `high gear, chuck held for ${block_s} s at ${angles} rotor angles, then the hand gives way over 1 s`;
  return [
    {
      name: 'block: torque before the stall is seen, of the stall torque',
      value: 100 * full,
      unit: '%',
      least: 85,
      how,
    },
    { name: 'block: torque held after it, of the stall torque', value: 100 * hold, unit: '%', least: 45, how },
    { name: 'block: deepest dip of the torque, of its mean', value: 100 * (1 - steady), unit: '%', most: 10, how },
    { name: 'block: angle error, worst', value: worst, unit: 'deg el', most: 30, how },
    { name: 'block: turn of the chuck while it is let go, least', value: degrees(creep), unit: 'deg', least: 90, how },
    { name: 'block: chuck turned backwards', value: degrees(back), unit: 'deg', most: 2, how },
    { name: 'block: losses of lock and trips', value: losses, unit: '', most: 0, how },
    { name: 'block: widest gap between the angles held', value: Math.max(...gaps), unit: 'deg el', how },
  ];
}

export function holdingRows(conditions: Conditions, crawls: number, blocks: number, block_s = 3): Row[] {
  const measured = stallTorque_Nm(conditions);
  const stall = Number.isNaN(measured) ? rated_Nm() : measured;
  const how = 'torque of a hand that just stops the turning chuck, high gear';
  return [
    { name: 'stall torque at the chuck, high gear', value: measured, unit: 'N·m', how },
    ...crawlRows(conditions, stall, crawls),
    ...blockRows(conditions, stall, blocks, block_s),
  ];
}
