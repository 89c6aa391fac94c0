/** Current counts that cannot be: the sensorless controller trips by name with its legs open, and soon. */
import { describe, expect, it } from 'vitest';
import { STATE_TRIPPED, TRIP_CURRENT, TRIP_NONE, TRIP_SENSOR } from '../../src/protocol/frames.ts';
import { Rig } from './rig.ts';

const RAIL = 4095;
const ABSENT = 0xffff;
/** Longest time from the fault to the trip [ticks]: what guard/ states for a stuck channel at speed, 92, and a margin of eight. */
const WITHIN_TICKS = 100;

const FAULTS = [
  ['clipped high', () => RAIL],
  ['clipped low', () => 0],
  ['absent', () => ABSENT],
  ['stuck', (held: number) => held],
] as const;

describe.each(['ia', 'ib', 'ic'] as const)('channel %s', (channel) => {
  it.each(FAULTS)('%s', (_, put) => {
    const rig = new Rig({ seed: 9, angle_rad: 2 });
    rig.pull(0.5);
    // A hand on the chuck: some 20 A. Without current a channel that is stuck where it should be does no harm.
    rig.plant.hands.set('grip', 2);
    rig.run(0.3);
    expect(rig.drive.trip).toBe(TRIP_NONE);
    expect(rig.plant.read('rotorSpeed')).toBeGreaterThan(500);
    const held = rig.sense[channel];
    rig.alter = (sense) => {
      sense[channel] = put(held);
    };
    let ticks = 0;
    while (rig.drive.state !== STATE_TRIPPED && ticks < WITHIN_TICKS) {
      rig.tick();
      ticks++;
    }
    expect(rig.drive.state).toBe(STATE_TRIPPED);
    expect([TRIP_SENSOR, TRIP_CURRENT]).toContain(rig.drive.trip);
    expect(rig.drive.gates).toBe(0);
    // It stays so: legs open, currents gone.
    rig.run(0.02);
    expect(rig.drive.gates).toBe(0);
    expect(rig.current_A).toBe(0);
  });
});
