/**
 * The field-oriented C starter, seen through frames only.
 *
 * Clarke, Park  amplitude-invariant, d on the magnet, q 90 degrees ahead of it, as in every textbook of drives (from memory);
 *               written out here with cosines of 120 degrees instead of the constants of the program.
 * Delay         a command of tick k is in force in period k + 1, whose middle lies 1.5 periods after the sample: Bae, Sul,
 *               IEEE Trans. Ind. Appl. 39(3), 2003 (bibliography read).
 */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  DUTY_FULL,
  GATE_ALL,
  SENSE_IN,
  SENSE_OUT,
  STATE_COASTING,
  STATE_READY,
  STATE_RUNNING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_CURRENT,
  TRIP_HALL,
  TRIP_LINK_HIGH,
  TRIP_LINK_LOW,
} from '../../src/protocol/frames.ts';
import { compileToWasm, kitSources, wasiCommand } from '../support/c-build.ts';
import { KIT_FOLDERS } from '../support/c-starter.ts';
import { expectNear } from '../support/near.ts';
import { COUNT_A, StarterRig, ZERO } from './starter-rig.ts';

const LINK_V = (2000 * 3.3 * 11) / 4096;
const DEGREE = Math.PI / 180;
const AXES = [0, 120 * DEGREE, 240 * DEGREE];

let rig: StarterRig;
beforeAll(async () => {
  rig = await StarterRig.open('--foc');
});
afterAll(() => rig?.link.close());

/** Voltage that the duties of the last Drive make, in the stator frame: length [V] and angle [rad]. */
function voltage(): { length: number; angle: number } {
  const duties = [rig.drive.dutyA, rig.drive.dutyB, rig.drive.dutyC];
  const of = (f: (x: number) => number) =>
    (2 / 3) * duties.reduce((sum, duty, k) => sum + (duty / DUTY_FULL) * LINK_V * f(AXES[k]), 0);
  const [x, y] = [of(Math.cos), of(Math.sin)];
  return { length: Math.hypot(x, y), angle: Math.atan2(y, x) };
}

function setCurrents(d_A: number, q_A: number, theta: number): void {
  const [a, b, c] = AXES.map(
    (axis) => ZERO + Math.round((d_A * Math.cos(theta - axis) - q_A * Math.sin(theta - axis)) / COUNT_A),
  );
  Object.assign(rig.sense, { ia: a, ib: b, ic: c });
}

const turned = (a: number, b: number) => Math.atan2(Math.sin(a - b), Math.cos(a - b));

describe('field-oriented C starter', () => {
  it('introduces itself, with estimates of currents that the bench has too', () => {
    expect(rig.link.hello).toMatchObject({ board: 'field-oriented starter', halls: true, virtualTick: true });
    expect(rig.link.hello.watch.map((each) => each.signal)).toEqual(['motorSpeed', 'currentD', 'currentQ', undefined]);
  });

  it('has sines of its own', async () => {
    const probe = readFileSync(new URL('./rotation-probe.c', import.meta.url), 'utf8');
    const units = ['starter/rotor_angle.c', 'probe.c'];
    const path = await compileToWasm('rotation', { ...kitSources(), 'probe.c': probe }, units, KIT_FOLDERS);
    const angles = Float32Array.from({ length: 2001 }, (_, k) => ((k - 1000) / 1000) * 3 * Math.PI);
    const { stdout } = spawnSync(wasiCommand(path), { shell: true, input: new Uint8Array(angles.buffer) });
    const found = new Float32Array(new Uint8Array(stdout).buffer);
    const because = 'first term left out, (pi/2)^11 / 11! = 3.6e-6, and float32 turns of 2 pi (4e-7 of 9.4)';
    for (const [k, rad] of angles.entries()) {
      expectNear(found[2 * k], Math.sin(rad), { abs: 6e-6, because });
      expectNear(found[2 * k + 1], Math.cos(rad), { abs: 6e-6, because });
    }
  });

  it.each([
    ['In', SENSE_IN, 1],
    ['Out', SENSE_OUT, -1],
  ] as const)('pulls across the magnet from standstill in every sector, direction %s', async (_, direction, sign) => {
    for (let sector = 0; sector < 6; sector++) {
      await rig.ready(sector, direction);
      await rig.ticks(20);
      const { length, angle } = voltage();
      expect(rig.drive).toMatchObject({ gates: GATE_ALL, state: STATE_RUNNING });
      expect(length).toBeGreaterThan(0.05);
      // A duty of 2^-15 of 17.7 V against the length.
      const abs = (2 * LINK_V) / DUTY_FULL / length;
      const off = turned(angle, (60 * sector + sign * 90) * DEGREE);
      expectNear(off, 0, { abs, because: 'duties are rounded to 2^-15 of the link' });
    }
  });

  it('turns phase currents into those along and across the magnet', async () => {
    for (let sector = 0; sector < 6; sector++) {
      await rig.ready(sector);
      await rig.ticks(3);
      setCurrents(-12, 40, 60 * sector * DEGREE);
      await rig.tick();
      const because = 'each count is rounded by half of 0.081 A; sums of three';
      expectNear(rig.drive.watch[1], -12, { abs: COUNT_A, because });
      expectNear(rig.drive.watch[2], 40, { abs: COUNT_A, because });
    }
  });

  it('has its voltage ahead by what the rotor turns until the middle of the period it is in force', async () => {
    for (const speed of [600, 3000, 6000, 8000]) {
      await rig.ready(0);
      rig.sense.trigger = 410 + Math.round((3276 * speed) / 4 / 2200);
      // 300 ticks at a steady speed: the mean over a turn stands, and the current loop has the EMF to meet.
      const n = 300;
      await rig.turn(speed, n);
      const theta = -30 * DEGREE + speed * n * 50e-6;
      const { angle, length } = voltage();
      expect(rig.drive.state).toBe(STATE_RUNNING);
      expect(length).toBeGreaterThan(0.9 * speed * 1.15e-3);
      const because = 'edges of 10 ns (0.005 degrees), float32 angles, duties of 2^-15: some 0.1 degrees at 0.7 V';
      expectNear(turned(angle, theta + 1.5 * speed * 50e-6 + 90 * DEGREE) / DEGREE, 0, { abs: 0.3, because });
    }
  });

  it('keeps a window for every shunt, and the d voltage when there is too little', async () => {
    await rig.ready(0);
    // Far above the speed that the link allows: the q voltage is cut, and no duty passes 0.94.
    await rig.turn(12_000, 400);
    const duties = [rig.drive.dutyA, rig.drive.dutyB, rig.drive.dutyC];
    expect(rig.drive.state).toBe(STATE_RUNNING);
    expect(Math.max(...duties)).toBeLessThanOrEqual(0.94 * DUTY_FULL + 1);
    expect(Math.min(...duties)).toBeGreaterThanOrEqual(0);
    const because = 'duties of 2^-15 of the link';
    expectNear(voltage().length, (0.94 * LINK_V) / Math.sqrt(3), { abs: (2 * LINK_V) / DUTY_FULL, because });
  });

  it('takes the leg without a window from the other two', async () => {
    await rig.ready(0);
    const duties = () => [rig.drive.dutyA, rig.drive.dutyB, rig.drive.dutyC];
    await rig.turn(12_000, 400);
    const before = duties();
    await rig.tick();
    const now = duties();
    // The next sample lies on the border of these two periods.
    const larger = now.map((duty, k) => Math.max(duty, before[k]));
    const blind = larger.indexOf(Math.max(...larger));
    expect(larger[blind]).toBeGreaterThan(0.9 * DUTY_FULL);
    for (const [k, leg] of (['ia', 'ib', 'ic'] as const).entries()) rig.sense[leg] = ZERO + (k === blind ? 0 : -350);
    await rig.tick();
    const because = 'one unit in the last place of float32 currents of 57 A';
    expectNear(Math.hypot(rig.drive.watch[1], rig.drive.watch[2]), 700 * COUNT_A, { abs: 2e-4, because });
  });

  it('opens all legs on an over-current, a sick link, a Hall fault, a released trigger, a flipped switch', async () => {
    await rig.ready(0);
    await rig.ticks(20);
    rig.sense.ia = ZERO + Math.ceil(121 / COUNT_A);
    expect((await rig.tick()).gates).toBe(0);
    await rig.ticks(2);
    expect(rig.drive).toMatchObject({ gates: 0, state: STATE_TRIPPED, trip: TRIP_CURRENT });

    await rig.ready(0);
    rig.sense.link = 2830;
    expect(await rig.ticks(2)).toMatchObject({ gates: 0, state: STATE_TRIPPED, trip: TRIP_LINK_HIGH });

    await rig.ready(0);
    rig.sense.link = 880;
    expect(await rig.ticks(2)).toMatchObject({ gates: 0, state: STATE_WAITING, trip: TRIP_LINK_LOW });

    await rig.ready(0);
    expect((await rig.ticks(5)).gates).toBe(GATE_ALL);
    rig.hall = 7;
    expect(await rig.ticks(3)).toMatchObject({ gates: 0, state: STATE_WAITING, trip: TRIP_HALL });

    await rig.ready(0);
    await rig.ticks(5);
    rig.sense.trigger = 410;
    expect(await rig.tick()).toMatchObject({ gates: 0, state: STATE_READY });

    await rig.ready(0);
    await rig.turn(2000, 200);
    rig.direction = SENSE_OUT;
    expect(await rig.tick()).toMatchObject({ gates: 0, state: STATE_COASTING });
    await rig.ticks(400);
    expect(rig.drive).toMatchObject({ gates: GATE_ALL, state: STATE_RUNNING });
  });
});
