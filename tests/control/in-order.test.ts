/** Frames that come twice or after newer ones: the controller inside never sees them, and a count that starts anew is not taken for old. */
import { describe, expect, it } from 'vitest';
import { InOrder, OLD_MOST } from '../../src/control/in-order.ts';
import { hallSixStep } from '../../src/control/six-step.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { STATE_RUNNING, STATE_WAITING } from '../../src/protocol/frames.ts';
import { FrameRig } from './frame-rig.ts';

/** Driving at 1000 rad/s electrical; two rigs that were told the same have the same answers from here on. */
function running(controller: Controller): FrameRig {
  const rig = new FrameRig(controller);
  rig.boot();
  rig.pull(0.5);
  rig.speed_rad_s = 1000;
  rig.run(300);
  expect(rig.drive.state).toBe(STATE_RUNNING);
  return rig;
}

/** Sends the frame of a tick that lies `back` before the newest one, and leaves the rig as it was. */
function sendOld(rig: FrameRig, back: number) {
  const { sense, angle_rad } = rig;
  const { tick } = sense;
  sense.tick = (tick - 1 - back) >>> 0;
  rig.angle_rad -= (1 + back) * rig.speed_rad_s * 50e-6;
  const answer = structuredClone(rig.tick());
  Object.assign(rig, { angle_rad });
  sense.tick = tick;
  return answer;
}

describe('frames out of order', () => {
  it.each([0, 1, 3, OLD_MOST])('one that lies %i ticks back changes nothing, answered as the newest was', (back) => {
    const disturbed = running(new InOrder(hallSixStep()));
    const plain = running(hallSixStep());
    for (let k = 0; k < 200; k++) {
      const { tick } = disturbed.sense;
      const newest = structuredClone(disturbed.drive);
      expect(sendOld(disturbed, back)).toEqual({ ...newest, tick: (tick - 1 - back) >>> 0 });
      expect(structuredClone(disturbed.tick()), `tick ${k}`).toEqual(plain.tick());
    }
  });

  it('are told across the wrap of the tick', () => {
    const rig = new FrameRig(new InOrder(hallSixStep()));
    rig.sense.tick = 0xffffffff - 429;
    rig.boot();
    rig.pull(0.5);
    rig.speed_rad_s = 1000;
    rig.run(300);
    expect(rig.sense.tick).toBe(1);
    const newest = structuredClone(rig.drive);
    expect(newest.state).toBe(STATE_RUNNING);
    expect(sendOld(rig, 1)).toEqual({ ...newest, tick: 0xffffffff });
  });

  it('of another count are a gap, which opens the legs', () => {
    const rig = running(new InOrder(hallSixStep()));
    rig.sense.tick -= OLD_MOST + 2;
    expect([rig.tick().gates, rig.drive.state]).toEqual([0, STATE_WAITING]);
    expect(rig.tick().state).toBe(STATE_RUNNING);
  });

  it('do not keep the last command in force for ever', () => {
    const rig = running(new InOrder(hallSixStep()));
    const before = structuredClone(rig.drive);
    for (let k = 0; k < OLD_MOST; k++) expect(sendOld(rig, 5).gates, `${k}`).toBe(before.gates);
    expect(sendOld(rig, 5)).toMatchObject({ gates: 0, state: STATE_WAITING });
  });

  it('are not what follows a boot, whatever its tick', () => {
    const rig = running(new InOrder(hallSixStep()));
    rig.sense.tick -= 3;
    rig.pull(0.4);
    rig.boot();
    expect(rig.drive.state).toBe(STATE_RUNNING);
  });
});
