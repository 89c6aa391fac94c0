/** Current counts that cannot be: the sensorless controller trips by name with its legs open, and soon. */
import { describe, expect, it } from 'vitest';
import { SensorlessProbe } from './probe.ts';

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
    const probe = new SensorlessProbe();
    // A hand on the chuck: some 20 A. Without current a channel that is stuck where it should be does no harm.
    probe.plant.hands.set('grip', 2);
    probe.run(6000);
    expect(probe.drive.trip).toBe(0);
    expect(probe.plant.read('rotorSpeed')).toBeGreaterThan(500);
    const held = probe.sense[channel];
    probe.alter = (sense) => {
      sense[channel] = put(held);
    };
    let ticks = 0;
    while (probe.drive.state !== probe.tripped && ticks < WITHIN_TICKS) {
      probe.run(1);
      ticks++;
    }
    expect(probe.drive.state).toBe(probe.tripped);
    expect([probe.sensor, probe.current]).toContain(probe.drive.trip);
    expect(probe.drive.gates).toBe(0);
    // It stays so: legs open, currents gone.
    probe.run(400);
    expect(probe.drive.gates).toBe(0);
    expect(Math.hypot(probe.plant.read('iAlpha'), probe.plant.read('iBeta'))).toBe(0);
  });
});
