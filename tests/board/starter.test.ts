/**
 * The C starter, seen through frames only.
 *
 * Legs by sector  derived from the EMF of a sinusoidal machine with Halls on its phase axes: in each sector current goes
 *                 into the phase with the largest EMF and out of the one with the smallest.
 */
import { spawnSync } from 'node:child_process';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  DUTY_FULL,
  GATE_A,
  GATE_B,
  GATE_C,
  SENSE_IN,
  SENSE_OUT,
  STATE_COASTING,
  STATE_READY,
  STATE_RUNNING,
  STATE_STARTING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_CURRENT,
  TRIP_HALL,
  TRIP_LINK_HIGH,
  TRIP_LINK_LOW,
  TRIP_NONE,
  TRIP_SENSOR,
} from '../../src/protocol/frames.ts';
import { starterCommand } from '../support/c-starter.ts';
import { expectNear } from '../support/near.ts';
import { CODES, COUNT_A, OFFSET_TICKS, PULLED, StarterRig, ZERO } from './starter-rig.ts';

const POLE_PAIRS = 4;
/** High and low leg by sector for positive torque. */
const PAIRS = ['BC', 'BA', 'CA', 'CB', 'AB', 'AC'] as const;
const GATES = { A: GATE_A, B: GATE_B, C: GATE_C } as const;
type Leg = keyof typeof GATES;

let rig: StarterRig;
beforeAll(async () => {
  rig = await StarterRig.open();
});
afterAll(() => rig?.link.close());

describe('C starter', () => {
  it('introduces itself as a six-step board with virtual time and Halls', () => {
    expect(rig.link.hello).toMatchObject({ board: 'six-step starter', halls: true, virtualTick: true, shunts: 'abc' });
    expect(rig.link.hello.watch.map((each) => each.name)).toEqual(['speed', 'pair current', 'sector']);
    const because = 'the scale travels as a float32, 24 bits of mantissa';
    expectNear(rig.link.hello.currentPerCount_A, COUNT_A, { abs: COUNT_A * 2 ** -23, because });
  });

  it('leaves the gates off while it takes its offsets, then waits for the trigger', async () => {
    await rig.ready();
    expect(rig.drive.state).toBe(STATE_READY);
    rig.sense.trigger = 410;
    const booting = [];
    for (let k = 0; k < OFFSET_TICKS; k++) {
      const { gates, state } = await rig.tick(k === 0 ? 1 : 0);
      booting.push(`${gates} ${state}`);
    }
    expect(booting.slice(0, -1).every((each) => each === `0 ${STATE_STARTING}`)).toBe(true);
    expect(booting.at(-1)).toBe(`0 ${STATE_READY}`);
  });

  it.each([
    ['In', SENSE_IN],
    ['Out', SENSE_OUT],
  ] as const)('drives the pair of every sector, direction %s', async (_, direction) => {
    for (const [sector, pair] of PAIRS.entries()) {
      await rig.ready(sector, direction);
      const { gates, dutyA, dutyB, dutyC } = await rig.ticks(40);
      const [high, low] = (direction === SENSE_IN ? [...pair] : [...pair].reverse()) as Leg[];
      const duty = { A: dutyA, B: dutyB, C: dutyC };
      expect(gates).toBe(GATES[high] | GATES[low]);
      expect(duty[high]).toBeGreaterThan(0);
      expect(duty[high]).toBeLessThan(0.95 * DUTY_FULL);
      for (const leg of 'ABC') if (leg !== high) expect(duty[leg as Leg]).toBe(0);
      expect(rig.drive.state).toBe(STATE_RUNNING);
      expect(rig.drive.watch[2]).toBe(sector);
    }
  });

  it('counts the current that leaves through the low leg as positive', async () => {
    await rig.ready(0);
    await rig.ticks(10);
    rig.sense.ic = ZERO - 373; // 30 A out of the motor, through leg C
    rig.sense.ib = ZERO + 373;
    await rig.tick();
    expectNear(rig.drive.watch[1], 373 * COUNT_A, { abs: 1e-4, because: 'float32 arithmetic on some 30 A' });
  });

  it('takes the measured zero of each shunt, not the nominal one', async () => {
    rig.hall = CODES[0];
    rig.direction = SENSE_IN;
    Object.assign(rig.sense, { ia: ZERO, ib: ZERO, ic: ZERO + 25, link: 2000, trigger: 410 });
    for (let k = 0; k < OFFSET_TICKS; k++) await rig.tick(k === 0 ? 1 : 0);
    rig.sense.trigger = PULLED;
    await rig.ticks(5);
    expectNear(rig.drive.watch[1], 0, { abs: 1e-6, because: 'the mean of equal samples is that sample' });
  });

  it('refuses a shunt whose zero is off by more than 5 % of the range', async () => {
    Object.assign(rig.sense, { ia: ZERO + 210, ib: ZERO, ic: ZERO, link: 2000, trigger: 410 });
    for (let k = 0; k < OFFSET_TICKS; k++) await rig.tick(k === 0 ? 1 : 0);
    expect(rig.drive).toMatchObject({ gates: 0, state: STATE_TRIPPED, trip: TRIP_SENSOR });
  });

  it('opens all legs within three ticks of an impossible Hall code and drives on when it is gone', async () => {
    for (const code of [0, 7]) {
      await rig.ready(2);
      await rig.ticks(20);
      rig.hall = code;
      await rig.ticks(3);
      expect(rig.drive).toMatchObject({ gates: 0, state: STATE_WAITING, trip: TRIP_HALL });
      rig.hall = CODES[2];
      await rig.ticks(2);
      expect(rig.drive).toMatchObject({ gates: GATE_C | GATE_A, state: STATE_RUNNING, trip: TRIP_NONE });
    }
  });

  it('does not believe a trigger that reads as a cut wire does', async () => {
    for (const [reading, state] of [
      [4095, STATE_WAITING],
      [3686 + 165, STATE_WAITING],
      [3686 + 160, STATE_RUNNING],
      [0, STATE_WAITING],
    ]) {
      await rig.ready();
      await rig.ticks(5);
      rig.sense.trigger = reading;
      await rig.tick();
      expect(rig.drive).toMatchObject({ state, trip: state === STATE_WAITING ? TRIP_SENSOR : TRIP_NONE });
      expect(rig.drive.gates === 0).toBe(state === STATE_WAITING);
    }
  });

  it('opens all legs in the tick of an over-current and trips at the third, until the next boot', async () => {
    await rig.ready(0);
    await rig.ticks(20);
    const over = Math.ceil(121 / COUNT_A);
    for (let hit = 1; hit <= 3; hit++) {
      rig.sense.ia = ZERO + over;
      expect((await rig.tick()).gates).toBe(0);
      rig.sense.ia = ZERO;
      await rig.ticks(5);
      expect(rig.drive.state).toBe(hit < 3 ? STATE_RUNNING : STATE_TRIPPED);
    }
    expect(rig.drive).toMatchObject({ gates: 0, trip: TRIP_CURRENT });
    await rig.ready(0);
    await rig.ticks(5);
    expect(rig.drive).toMatchObject({ state: STATE_RUNNING, trip: TRIP_NONE });
  });

  it('forgets over-currents that lie more than 10 ms apart', async () => {
    await rig.ready(0);
    for (let hit = 0; hit < 5; hit++) {
      rig.sense.ia = ZERO + 1600;
      await rig.tick();
      rig.sense.ia = ZERO;
      await rig.ticks(210);
    }
    expect(rig.drive.state).toBe(STATE_RUNNING);
  });

  it('trips on a link above 25 V and waits below 8 V', async () => {
    await rig.ready();
    rig.sense.link = 880; // 7.8 V
    await rig.ticks(2);
    expect(rig.drive).toMatchObject({ gates: 0, state: STATE_WAITING, trip: TRIP_LINK_LOW });
    rig.sense.link = 2000;
    await rig.ticks(2);
    expect(rig.drive.state).toBe(STATE_RUNNING);
    rig.sense.link = 2830; // 25.08 V
    await rig.tick();
    rig.sense.link = 2000;
    await rig.ticks(5);
    expect(rig.drive).toMatchObject({ gates: 0, state: STATE_TRIPPED, trip: TRIP_LINK_HIGH });
  });

  it('opens all legs when the trigger is released and when the direction switch is locked', async () => {
    await rig.ready();
    expect((await rig.ticks(5)).gates).not.toBe(0);
    rig.sense.trigger = 410;
    expect(await rig.tick()).toMatchObject({ gates: 0, state: STATE_READY });
    rig.sense.trigger = PULLED;
    expect((await rig.tick()).gates).not.toBe(0);
    rig.direction = 0;
    expect(await rig.tick()).toMatchObject({ gates: 0, state: STATE_READY });
  });

  it('lets a turning motor run down before it takes a new direction', async () => {
    await rig.ready();
    await rig.turn(2000, 200);
    expect(rig.drive.state).toBe(STATE_RUNNING);
    rig.direction = SENSE_OUT;
    await rig.turn(2000, 100);
    expect(rig.drive).toMatchObject({ gates: 0, state: STATE_COASTING });
    await rig.ticks(400); // 20 ms without an edge: below 13 rad/s
    expect(rig.drive.state).toBe(STATE_RUNNING);
  });

  it('does not take a missed edge for standstill when the direction is flipped', async () => {
    await rig.ready();
    await rig.turn(2000, 200);
    rig.direction = SENSE_OUT;
    rig.hall = CODES[(CODES.indexOf(rig.hall as 1) + 2) % 6];
    rig.sense.hallAge = 100;
    await rig.ticks(20);
    expect(rig.drive).toMatchObject({ gates: 0, state: STATE_COASTING });
  });

  it.each([60, 900, 5000, 9000, -3000])('measures an electrical speed of %d rad/s from Hall edges', async (speed) => {
    await rig.ready();
    await rig.turn(speed, Math.ceil((1.5 * 2 * Math.PI) / Math.abs(speed) / 50e-6));
    // Each age is cut to 10 ns, so an interval of one to six sectors is off by at most that.
    const span_s = Math.min(Math.PI / 3 / Math.abs(speed), 4e-3);
    const abs = (Math.abs(speed) / POLE_PAIRS) * (1e-8 / span_s + 1e-5);
    const because = 'edge times of 10 ns over the shortest span averaged; float32 sums of a few intervals';
    expectNear(rig.drive.watch[0], speed / POLE_PAIRS, { abs, because });
  });

  it('believes no more speed than the time without an edge allows', async () => {
    await rig.ready();
    await rig.turn(5000, 200);
    await rig.ticks(200);
    const most = Math.PI / 3 / 10e-3 / POLE_PAIRS; // one sector in 10 ms
    expect(rig.drive.watch[0]).toBeGreaterThan(0);
    expect(rig.drive.watch[0]).toBeLessThan(most);
    await rig.ticks(2000);
    expect(rig.drive.watch[0]).toBe(0);
  });

  it('keeps its time across the wrap of the tick', async () => {
    rig.sense.tick = 2 ** 32 - OFFSET_TICKS - 60;
    await rig.ready();
    await rig.turn(3000, 150);
    expect(rig.sense.tick).toBeLessThan(100);
    const because = 'as above: 10 ns over six sectors of 349 us, float32';
    expectNear(rig.drive.watch[0], 750, { abs: 0.02, because });
  });

  it('ends with code 0 when its input ends, and with 2 on arguments it does not know', async () => {
    const command = await starterCommand();
    expect(spawnSync(command, { shell: true, input: '' }).status).toBe(0);
    const { status, stderr } = spawnSync(`${command} --wrong`, { shell: true, input: '' });
    expect(`${status} ${stderr}`).toContain('2 usage: starter [--foc] [--uid TEXT] [--listen PORT]');
  });
});
