/**
 * The six-step controller in closed loop on the plant. What a hand can hold, 4 to 8 N·m on a chuck, is common practice
 * without a source; limits and speeds are those that the controller states.
 */
import { describe, expect, it } from 'vitest';
import { SIX_STEP } from '../../src/control/settings.ts';
import { STATE_RUNNING, STATE_STALLED } from '../../src/protocol/frames.ts';
import { expectNear } from '../support/near.ts';
import { PlantRig } from './plant-rig.ts';

const ANGLES = Array.from({ length: 24 }, (_, k) => ((k + 0.3) * 2 * Math.PI) / 24);
const HAND_NM = 6.5;

/** At full trigger in a gear, up to speed. */
function upToSpeed(gear: 1 | 2, angle_rad = 0): PlantRig {
  const rig = new PlantRig(angle_rad);
  rig.plant.hands.set('gear', gear);
  rig.pull(1);
  rig.run(0.1);
  return rig;
}

describe('six-step controller on the plant', () => {
  for (const side of [1, -1]) {
    it(`starts ${side > 0 ? 'In' : 'Out'} from each of 24 rotor angles without turning the wrong way`, () => {
      for (const angle of ANGLES) {
        const rig = new PlantRig(angle);
        rig.plant.hands.set('direction', side);
        rig.pull(1);
        let wrong_rad_s = 0;
        for (let k = 0; k < 300; k++) {
          rig.tick();
          wrong_rad_s = Math.max(wrong_rad_s, -side * rig.plant.read('rotorSpeed'));
        }
        // The right pair is known from the first tick. Before it acts the rotor settles into its cogging, up to 9 mN·m
        // against 8 of friction: 1 mN·m on 3.3e-6 kg m2 for a millisecond is 0.3 rad/s, no turn that a chuck would show.
        expect(wrong_rad_s, `from ${angle} rad`).toBeLessThan(0.5);
        // 8 ms at 60 A, 0.41 N·m at least, on 3.3e-6 kg m2 would be 1000 rad/s; picking up the gear costs some of it.
        expect(side * rig.plant.read('rotorSpeed'), `from ${angle} rad`).toBeGreaterThan(400);
        expect(rig.tripped).toBe(0);
      }
    });
  }

  it('reaches and holds the speed that the trigger asks for', () => {
    const because =
      'two counts of trigger noise are 1.4, the slow tail of the loop 12 exp(-0.4 / 0.15), the edge times 0.3 rad/s';
    for (const [trigger, target] of [
      [1, SIX_STEP.topSpeed_rad_s],
      [0.4, (SIX_STEP.topSpeed_rad_s * (0.4 - 0.045)) / 0.955],
    ]) {
      const rig = new PlantRig(2);
      rig.pull(trigger);
      rig.run(0.4);
      expectNear(rig.run(0.05).rotor_rad_s, target, { abs: 1.4 + 0.8 + 0.3, because });
      expectNear(rig.drive.watch[0], rig.plant.read('rotorSpeed'), {
        abs: 5,
        because: 'the estimate is a mean over the last turn, in which ripple and play of the gear move the rotor',
      });
    }
  });

  for (const gear of [1, 2] as const) {
    it(`holds the current limit against a chuck that cannot turn in gear ${gear}, then lowers it`, () => {
      const rig = new PlantRig(1);
      rig.plant.hands.set('gear', gear);
      rig.plant.hands.set('grip', 100);
      rig.pull(1);
      rig.run(0.25);
      expect(rig.drive.state).toBe(STATE_RUNNING);
      const because =
        'half a count of offset and rounding is 0.04 A; ripple moves the mean of the period ends by as much';
      expectNear(rig.run(0.15).largest_A, SIX_STEP.currentLimit_A, { abs: 0.2, because });
      rig.run(0.4);
      expect(rig.drive.state).toBe(STATE_STALLED);
      expectNear(rig.run(0.05).largest_A, SIX_STEP.holdCurrent_A, { abs: 0.2, because });
      expect(rig.tripped).toBe(0);
    });

    it(`does not trip when the chuck stops dead from full speed in gear ${gear}`, () => {
      for (const angle of ANGLES.slice(0, 6)) {
        const rig = upToSpeed(gear, angle);
        rig.plant.hands.set('grip', 100);
        rig.run(0.2);
        expect(rig.tripped, `from ${angle} rad`).toBe(0);
        expect(rig.peak_A).toBeLessThan(SIX_STEP.overCurrent_A);
      }
    });
  }

  it('is stopped by a hand of 6.5 N·m in the high gear', () => {
    for (const angle of ANGLES.slice(0, 6)) {
      const rig = upToSpeed(2, angle);
      rig.plant.hands.set('grip', HAND_NM);
      rig.run(0.3);
      // 0.1 rad/s is a turn a minute: a hand feels that as still.
      expect(Math.abs(rig.run(0.05).chuck_rad_s), `from ${angle} rad`).toBeLessThan(0.1);
      expect(rig.tripped).toBe(0);
    }
  });

  it('pulls through the same hand in the low gear', () => {
    for (const angle of ANGLES.slice(0, 6)) {
      const rig = upToSpeed(1, angle);
      const free_rad_s = rig.run(0.02).chuck_rad_s;
      rig.plant.hands.set('grip', HAND_NM);
      rig.run(0.3);
      expect(rig.run(0.05).chuck_rad_s).toBeGreaterThan(0.8 * free_rad_s);
    }
  });

  it('coasts when the switch is reversed at speed and then runs as fast the other way', () => {
    const rig = upToSpeed(2);
    rig.plant.hands.set('direction', -1);
    rig.run(1.4);
    const because = 'see the test of the asked speed; the tail of the loop is younger here, 12 exp(-0.4 / 0.15)';
    expectNear(rig.run(0.05).rotor_rad_s, -SIX_STEP.topSpeed_rad_s, { abs: 5, because });
    expect(rig.tripped).toBe(0);
  });

  it('picks a coasting motor up again without a jolt', () => {
    const rig = upToSpeed(2);
    rig.plant.hands.set('trigger', 0.03); // below the dead band; the contact stays closed
    rig.run(0.05);
    const before = rig.plant.read('rotorSpeed');
    rig.peak_A = 0;
    rig.plant.hands.set('trigger', 1);
    let least = before;
    for (let k = 0; k < 400; k++) {
      rig.tick();
      least = Math.min(least, rig.plant.read('rotorSpeed'));
    }
    // It may only lose what it loses by coasting for one more tick, some 0.15 rad/s.
    expect(before - least).toBeLessThan(1);
    expect(rig.peak_A).toBeLessThan(SIX_STEP.currentLimit_A * 1.4);
    expect(rig.tripped).toBe(0);
  });
});
