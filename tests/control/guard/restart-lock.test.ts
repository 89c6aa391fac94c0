/** The rule of a restart, frame by frame: travel in the first frame after a boot decides, a release unlocks. */
import { describe, expect, it } from 'vitest';
import { DEEP_TRAVEL, RELEASED_TRAVEL, RestartLock } from '../../../src/control/guard/restart-lock.ts';
import { STATE_LOCKED } from '../../../src/control/tables.ts';
import { STATE_READY, STATE_RUNNING, STATE_STARTING, STATE_TRIPPED } from '../../../src/protocol/frames.ts';
import { FrameRig } from '../frame-rig.ts';

/** After a boot at one travel and 100 ms at it. */
function bootedAt(travel: number): FrameRig {
  const rig = new FrameRig();
  rig.pull(travel);
  rig.boot();
  rig.run(2000);
  return rig;
}

describe('restart', () => {
  it('waits for a release when the first frame shows a deep trigger', () => {
    for (const travel of [DEEP_TRAVEL + 0.01, 0.8, 1]) {
      const rig = bootedAt(travel);
      expect([rig.drive.gates, rig.drive.state], `${travel}`).toEqual([0, STATE_LOCKED]);
      rig.pull(0.3); // not released
      rig.run(100);
      expect([rig.drive.gates, rig.drive.state], `${travel}`).toEqual([0, STATE_LOCKED]);
      rig.pull(0);
      expect([rig.tick().gates, rig.drive.state], `${travel}`).toEqual([0, STATE_READY]);
      rig.pull(1);
      expect(rig.tick().state, `${travel}`).toBe(STATE_RUNNING);
      expect(rig.drive.gates, `${travel}`).not.toBe(0);
    }
  });

  it('drives when the trigger is under way in the first frame, however deep it is afterwards', () => {
    const rig = new FrameRig();
    rig.pull(0.1);
    rig.tick(true);
    rig.pull(1);
    for (let k = 0; k < 126; k++) expect(rig.tick().state).toBe(STATE_STARTING);
    expect(rig.tick().state).toBe(STATE_RUNNING);
    expect(bootedAt(DEEP_TRAVEL - 0.01).drive.state).toBe(STATE_RUNNING);
  });

  it('waits after a trip too: a boot under the held trigger drives nothing', () => {
    const rig = bootedAt(0.3);
    rig.pull(1);
    rig.run(10);
    Object.assign(rig.sense, { ia: 4000, ib: 96 }); // far above the limit
    rig.run(3);
    expect(rig.drive.state).toBe(STATE_TRIPPED);
    Object.assign(rig.sense, { ia: 2048, ib: 2048 });
    rig.boot();
    rig.run(100);
    expect([rig.drive.gates, rig.drive.state]).toEqual([0, STATE_LOCKED]);
  });

  it('can be demanded without a boot, and takes the stricter travel that it is made with', () => {
    const lock = new RestartLock(0.2);
    lock.reset();
    lock.update(0.25);
    expect(lock.locked).toBe(1);
    lock.update(RELEASED_TRAVEL - 0.001);
    expect(lock.locked).toBe(0);
    lock.update(1); // no boot
    expect(lock.locked).toBe(0);
    lock.lock();
    lock.update(0.5);
    expect(lock.locked).toBe(1);
    lock.update(0);
    expect(lock.locked).toBe(0);
  });
});
