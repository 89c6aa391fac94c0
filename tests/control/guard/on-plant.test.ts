/**
 * Protections of the six-step controller on the plant: broken channels, heat, a supply that breaks down, and the release.
 * Limits are those that src/control states.
 */
import { describe, expect, it } from 'vitest';
import { RAILED_TICKS, STUCK_HITS, STUCK_TICKS } from '../../../src/control/guard/current-check.ts';
import { FAULT_TICKS, HOT_TICKS, UNSEEN_SHARE } from '../../../src/control/guard/heat.ts';
import { LINK_RAILED_TICKS } from '../../../src/control/guard/link.ts';
import { TRIGGER_RAILED_TICKS } from '../../../src/control/protection.ts';
import { HEAT_LIMITS, SIX_STEP } from '../../../src/control/settings.ts';
import { STATE_LOCKED } from '../../../src/control/tables.ts';
import {
  NOT_FITTED,
  STATE_BRAKING,
  STATE_READY,
  STATE_RUNNING,
  STATE_TRIPPED,
  TRIP_HEAT,
  TRIP_NONE,
  TRIP_SENSOR,
} from '../../../src/protocol/frames.ts';
import { expectNear } from '../../support/near.ts';
import { set } from '../../support/rigs.ts';
import { PlantRig } from '../plant-rig.ts';

const TICK_S = 50e-6;

/** Turning against a hand in the low gear, which takes some 20 A. */
function loaded(): PlantRig {
  const rig = new PlantRig(1);
  rig.plant.hands.set('gear', 1);
  rig.plant.hands.set('grip', 6.5);
  rig.pull(0.5);
  rig.run(0.25);
  expect(rig.drive.state).toBe(STATE_RUNNING);
  return rig;
}

/** Held fast in the low gear. */
function held(): PlantRig {
  const rig = new PlantRig(1);
  rig.plant.hands.set('gear', 1);
  rig.plant.hands.set('grip', 100);
  rig.pull(0.5);
  return rig;
}

/** Ticks until tripped, and until the timer has all legs open. */
function untilTripped(rig: PlantRig, most: number): { latched: number; open: number } {
  let open = 0;
  for (let k = 1; k <= most; k++) {
    rig.tick();
    if (rig.drive.gates !== 0) open = k;
    if (rig.drive.state === STATE_TRIPPED) return { latched: k, open: open + 1 };
  }
  return { latched: Number.POSITIVE_INFINITY, open: open + 1 };
}

describe('broken channels on the plant', () => {
  for (const channel of ['ia', 'ib', 'ic', 'link', 'trigger', 'heatBridge', 'heatMotor'] as const) {
    const most =
      channel === 'link'
        ? LINK_RAILED_TICKS
        : channel === 'trigger'
          ? TRIGGER_RAILED_TICKS
          : channel.startsWith('heat')
            ? FAULT_TICKS
            : RAILED_TICKS;
    for (const [what, counts] of [
      ['clipped at 0', 0],
      ['clipped at full scale', 4095],
      ['absent', NOT_FITTED],
    ] as const) {
      it(`${channel} ${what}: legs open and tripped within ${most} ticks, and no current is left`, () => {
        const rig = loaded();
        rig.peak_A = 0;
        rig.spoil = (sense) => {
          sense[channel] = counts;
        };
        const { latched, open } = untilTripped(rig, most + 1);
        expect(latched).toBeLessThanOrEqual(most);
        expect(open).toBeLessThanOrEqual(channel.startsWith('heat') ? most : 1);
        expect(rig.drive.trip).toBe(TRIP_SENSOR);
        // The command in force runs to its end; then the link empties 60 A out of two phases within 27 uH * 60 A / 18 V = 90 us.
        rig.run(5 * TICK_S);
        expect(rig.largest_A()).toBeLessThan(0.5);
        expect(rig.peak_A).toBeLessThan(SIX_STEP.overCurrent_A);
      });
    }
  }

  for (const channel of ['ia', 'ib', 'ic'] as const) {
    it(`${channel} stuck at full speed under load is found too, where a sector lasts two ticks`, () => {
      const rig = loaded();
      rig.pull(1);
      rig.run(0.2);
      const stuck = rig.sense[channel];
      rig.spoil = (sense) => {
        sense[channel] = stuck;
      };
      // One tick in six is the third of its sector and judged; two of three of them show the lie, so that a run of three comes
      // within some nine, and surely within twice as many.
      expect(untilTripped(rig, 2000).latched).toBeLessThanOrEqual(STUCK_TICKS + 2 * 9 * 6);
      expect([rig.drive.gates, rig.drive.trip]).toEqual([0, TRIP_SENSOR]);
    });

    it(`${channel} stuck at any moment of a turn: tripped, and the current never leaves its limit by much`, () => {
      for (let phase = 0; phase < 6; phase++) {
        const rig = loaded();
        rig.run(phase * 3e-4);
        rig.peak_A = 0;
        const stuck = rig.sense[channel];
        rig.spoil = (sense) => {
          sense[channel] = stuck;
        };
        const { latched } = untilTripped(rig, 2000);
        // Each leg carries current in a third and returns it in a third of a turn, so one turn shows the lie: 31 ticks at 1000 rad/s.
        expect(latched, `phase ${phase}`).toBeLessThanOrEqual(STUCK_TICKS + 31 + STUCK_HITS);
        expect([rig.drive.gates, rig.drive.trip]).toEqual([0, TRIP_SENSOR]);
        expect(rig.peak_A, `phase ${phase}`).toBeLessThan(SIX_STEP.overCurrent_A);
      }
    });
  }
});

describe('heat on the plant', () => {
  const mean = (low: number, high: number) => low + 0.5 * (high - low);
  for (const [slot, derate_K, stop_K] of [
    ['sinkHeat', HEAT_LIMITS.bridgeDerate_K, HEAT_LIMITS.bridgeStop_K],
    ['windingHeat', HEAT_LIMITS.motorDerate_K, HEAT_LIMITS.motorStop_K],
  ] as const) {
    it(`halves the copper loss halfway between the limits of ${slot}`, () => {
      const rig = held();
      set(rig.plant, { [slot]: mean(derate_K, stop_K) });
      rig.run(0.25);
      set(rig.plant, { [slot]: mean(derate_K, stop_K) });
      rig.run(0.03);
      const { largest_A } = rig.run(0.02);
      // One count of the channel is 0.4 K of 20 or 35 there, 100 of them average out; 0.3 K of drift in 50 ms at most.
      const because =
        '0.5 K of 20 between the limits is 1.3 % of the current, 0.2 A is offset and ripple as in on-plant.test';
      const limit_A = SIX_STEP.currentLimit_A * Math.sqrt(0.5);
      expectNear(largest_A, limit_A, { abs: 0.013 * limit_A + 0.2, because });
      expectNear(rig.drive.watch[4], limit_A, { abs: 0.013 * limit_A, because });
      expect(rig.tripped).toBe(0);
    });

    it(`trips above the upper limit of ${slot} within ${HOT_TICKS} ticks and stays tripped when it is cool again`, () => {
      const rig = loaded();
      set(rig.plant, { [slot]: stop_K + 2 });
      expect(untilTripped(rig, HOT_TICKS + 1).latched).toBeLessThanOrEqual(HOT_TICKS);
      expect([rig.drive.gates, rig.drive.trip]).toEqual([0, TRIP_HEAT]);
      set(rig.plant, { [slot]: 300 });
      rig.run(0.1);
      expect([rig.drive.gates, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_TRIPPED, TRIP_HEAT]);
    });

    it(`changes nothing at the lower limit of ${slot}`, () => {
      const rig = loaded();
      set(rig.plant, { [slot]: derate_K - 2 });
      rig.run(0.03);
      expect(rig.drive.watch[4]).toBe(SIX_STEP.currentLimit_A);
    });
  }

  it('allows half the copper loss where no thermistor is fitted', () => {
    const rig = held();
    rig.spoil = (sense) => {
      sense.heatMotor = NOT_FITTED;
    };
    rig.run(0.28);
    const because = 'offset and ripple as in on-plant.test';
    expectNear(rig.run(0.02).largest_A, UNSEEN_SHARE * SIX_STEP.currentLimit_A, { abs: 0.2, because });
  });
});

describe('supply that breaks down under a held trigger', () => {
  /** Opens the protection of the pack until the logic is dead, and closes it again: nobody touched the trigger. */
  function breakDown(rig: PlantRig): void {
    set(rig.plant, { protection: 1 });
    for (let k = 0; k < 40_000 && rig.plant.powered; k++) rig.tick();
    expect(rig.plant.powered).toBe(false);
    rig.run(0.01);
    set(rig.plant, { protection: 0 });
    for (let k = 0; k < 100 && !rig.plant.powered; k++) rig.tick();
    expect(rig.plant.powered).toBe(true);
  }

  it('does not drive before the trigger was released once', () => {
    const rig = new PlantRig(1);
    rig.pull(1);
    rig.run(0.1);
    breakDown(rig);
    let driven = 0;
    for (let k = 0; k < 4000; k++) {
      rig.tick();
      driven |= rig.drive.gates;
    }
    expect([driven, rig.drive.state, rig.drive.trip]).toEqual([0, STATE_LOCKED, TRIP_NONE]);
    rig.pull(0.03); // within the dead band; the contact stays closed
    rig.run(0.03);
    expect([rig.drive.gates, rig.drive.state]).toEqual([0, STATE_READY]);
    rig.pull(1);
    rig.run(0.03);
    expect(rig.drive.state).toBe(STATE_RUNNING);
  });

  it('leaves an honest press alone, from the slowest to a quick one', () => {
    for (const pull_s of [0.5, 0.1, 0.02]) {
      const rig = new PlantRig(1);
      const n = Math.round(pull_s / TICK_S);
      for (let k = 1; k <= n; k++) {
        rig.plant.hands.set('trigger', k / n);
        rig.tick();
      }
      rig.run(0.01);
      expect(rig.drive.state, `${pull_s} s`).toBe(STATE_RUNNING);
    }
  });
});

describe('release on the plant', () => {
  it('shorts a slow rotor: it stops sooner than friction alone would stop it', () => {
    for (const gear of [1, 2]) {
      const rig = new PlantRig(1);
      rig.plant.hands.set('gear', gear);
      rig.pull(0.1);
      rig.run(0.3);
      const w = rig.plant.read('rotorSpeed');
      expect(w).toBeGreaterThan(100);
      rig.plant.hands.set('trigger', 0);
      rig.tick();
      let braked = 0;
      let still_s = 0;
      for (let k = 0; k < 2000 && Math.abs(rig.plant.read('rotorSpeed')) > 10; k++) {
        rig.tick();
        if (rig.drive.state === STATE_BRAKING) braked = 1;
        still_s += TICK_S;
      }
      expect(braked).toBe(1);
      // Bearing, iron and mesh hold some 10 mN·m against 3.3e-6 kg m2 and what hangs on it: 40 ms or more from 126 rad/s.
      const { rotor_kgm2, rotorFriction_Nm } = rig.plant.params.shaft;
      expect(still_s).toBeLessThan((0.5 * rotor_kgm2 * w) / rotorFriction_Nm);
    }
  });

  it('neither pumps the open link nor passes the current limit, from any speed and from a stall', () => {
    for (const gear of [1, 2]) {
      for (const [trigger, grip] of [
        [0.1, 0],
        [0.2, 0],
        [0.5, 0],
        [1, 0],
        [0.5, 100],
        [1, 6.5],
      ]) {
        const rig = new PlantRig(1);
        rig.plant.hands.set('gear', gear);
        rig.pull(trigger);
        rig.run(0.25);
        if (grip > 0) rig.plant.hands.set('grip', grip);
        rig.run(0.15);
        rig.peak_A = 0;
        rig.link_V = 0;
        rig.plant.hands.set('trigger', 0); // the contact opens with it
        rig.run(0.6);
        const name = `gear ${gear}, trigger ${trigger}, grip ${grip}`;
        // Full pack 20.3 V. What the leads still carry at the break burns in the contact; a volt is 0.5 * 470 uF * 41 V = 10 mJ.
        expect(rig.link_V, name).toBeLessThan(21.3);
        expect(rig.peak_A, name).toBeLessThan(SIX_STEP.overCurrent_A);
        expect(rig.tripped, name).toBe(0);
      }
    }
  });
});

describe('watch values', () => {
  it('follow the rotor angle by sectors and edge times', () => {
    const rig = new PlantRig(1);
    rig.pull(0.5);
    rig.run(0.4);
    const angle = rig.drive.watch[3];
    expect(rig.controllerHello.watch[3].signal).toBe('rotorAngle');
    const polePairs = rig.plant.params.winding.polePairs;
    let worst = 0;
    for (let k = 0; k < 400; k++) {
      const before = Math.atan2(rig.plant.read('sin'), rig.plant.read('cos'));
      rig.tick();
      const off = rig.drive.watch[3] - before;
      worst = Math.max(worst, Math.abs(Math.atan2(Math.sin(off), Math.cos(off))));
    }
    expect(angle).toBeGreaterThanOrEqual(0);
    // Edges are exact to 10 ns; between them the speed of the last turn is taken, which play and ripple of the gear change by 2 %.
    const because = '2 % of a sector, and the 0.1 us that the sample is late at 4000 rad/s';
    expectNear(worst, 0, { abs: 0.02 * (Math.PI / 3) + 1e-7 * polePairs * 1100, because });
  });
});
