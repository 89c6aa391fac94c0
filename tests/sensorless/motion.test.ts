/** Starts, run-up and reversals in a short form; the limits are those that the drive was asked to keep. */
import { describe, expect, it } from 'vitest';
import { expectHolds, valueIn } from './expect-holds.ts';
import { noLoadRows, reversalRows, runUpRows } from './experiments/speed.ts';
import { CHARGES, START_LOADS, start, startRows, startsExperiment } from './experiments/starts.ts';
import { NO_POLARITY } from './experiments/textbook.ts';

describe('starts without a rotor sensor', () => {
  it('finds north from 6 angles at three pack charges, free to rated load, and has torque in 30 ms', () => {
    expectHolds(startsExperiment({}, 6, CHARGES));
  });

  it('counts a winding in which nothing tells north from south as starts without an angle', () => {
    const list = [start(NO_POLARITY, 1, 1, START_LOADS[0], 1)];
    const rows = startRows(list, 1, [0.8]);
    expect(valueIn(rows, 'starts that found no angle')).toBe(1);
    expect(valueIn(rows, 'press to torque, worst')).toBe(Number.POSITIVE_INFINITY);
    expect(valueIn(rows, 'starts with a trip')).toBe(1);
  });
});

describe('speed without a rotor sensor', () => {
  it('runs up with the whole torque current', () => expectHolds(runUpRows({})));

  it('comes within 5 % of the voltage limit on a pack at its nominal voltage', () => {
    // 0.3 of the charge is 17.8 V open-circuit; the firmware asks for the speed of 18 V at full trigger, whatever the pack.
    expectHolds(noLoadRows({}, [0.3]));
  });

  it('reverses from full speed with the speed ramp and at the current limit', () => {
    expectHolds(reversalRows({}, 2));
    expectHolds(reversalRows({}, 3, true));
  });
});
