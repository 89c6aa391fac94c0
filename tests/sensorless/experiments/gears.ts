/**
 * A hand that stops the chuck in the high gear does not in the low one, at the same current limit.
 *
 * Hand    a quarter above the rated torque of the high gear, closed in a tenth of a second on a chuck at full trigger.
 * Limit   that of the controller in both gears; the state in which it holds a stall is reached in the high one only.
 */

import { rated_Nm } from '../facts.ts';
import { type Conditions, Rig } from '../rig.ts';
import type { Row } from '../rows.ts';

const HAND_OVER_RATED = 1.25;

interface Gripped {
  readonly free_rad_s: number;
  readonly gripped_rad_s: number;
  readonly most_A: number;
  readonly bad: number;
}

function gripIn(conditions: Conditions, gear: 1 | 2, hand_Nm: number, seed: number): Gripped {
  const rig = new Rig({ ...conditions, seed });
  rig.plant.hands.set('gear', gear);
  rig.pull(1);
  rig.run(0.3);
  const free = rig.run(0.05);
  for (let j = 1; j <= 10; j++) {
    rig.plant.hands.set('grip', (hand_Nm * j) / 10);
    rig.run(0.01);
  }
  let most_A = 0;
  const held = rig.run(0.4, () => {
    most_A = Math.max(most_A, Math.abs(rig.sensorless?.plan.iq ?? 0));
    return undefined;
  });
  const last = rig.run(0.05);
  return {
    free_rad_s: free.chuckSpeed_rad_s,
    gripped_rad_s: last.chuckSpeed_rad_s,
    most_A,
    bad: held.losses + held.trips + last.losses + last.trips,
  };
}

export function gearRows(conditions: Conditions, seeds: number): Row[] {
  const hand_Nm = HAND_OVER_RATED * rated_Nm();
  const list = Array.from({ length: seeds }, (_, k) => ({
    low: gripIn(conditions, 1, hand_Nm, 70 + k),
    high: gripIn(conditions, 2, hand_Nm, 70 + k),
  }));
  const how = `hand of ${hand_Nm.toFixed(1)} N·m on a chuck at full trigger, ${seeds} seeds`;
  const most = (of: (pair: (typeof list)[number]) => number) => Math.max(...list.map(of));
  const least = (of: (pair: (typeof list)[number]) => number) => Math.min(...list.map(of));
  return [
    {
      name: 'gears: chuck speed left in the high gear',
      value: most(({ high }) => Math.abs(high.gripped_rad_s)),
      unit: 'rad/s',
      most: 0.1,
      how,
    },
    {
      name: 'gears: chuck speed left in the low gear, of the free speed',
      value: 100 * least(({ low }) => low.gripped_rad_s / low.free_rad_s),
      unit: '%',
      least: 80,
      how,
    },
    { name: 'gears: torque current asked for, high gear', value: most(({ high }) => high.most_A), unit: 'A', how },
    { name: 'gears: torque current asked for, low gear', value: most(({ low }) => low.most_A), unit: 'A', how },
    {
      name: 'gears: losses of lock and trips',
      value: most(({ low, high }) => low.bad + high.bad),
      unit: '',
      most: 0,
      how,
    },
  ];
}
