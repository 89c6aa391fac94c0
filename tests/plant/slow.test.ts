/**
 * The slow plant around a motor model, against closed forms. The laws of motion and of circuits are any textbook's (from
 * memory); every expected value is computed here from the parameters alone.
 */
import { describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { SlowPlant } from '../../src/plant/slow.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { ALIKE, drillWith, merge } from '../support/rigs.ts';
import { constantTorque, LOSSLESS_GEAR, SlowRig } from './slow-rig.ts';

/** Planetary stages with fixed rings, motor side first: 1 + ring/sun each; gear 2 has two of them. */
const RATIO = (1 + 36 / 12) * (1 + 60 / 24);
const { chuck_kgm2, chuckFriction_Nm, rotor_kgm2 } = BENCH_18.shaft;
const ROTOR_KGM2 = rotor_kgm2;
const ROUNDING = 'sums of some thousand double floats';
const IDLE = { turned_rad: 0, speed_rad_s: 0, torque_Nm: 0, drawn_A: 0, loss_W: 0 };

describe('chuck behind the gear', () => {
  it.each([100, 500, 1000])('spins up as torque over inertia at %d Hz', (rate_Hz) => {
    const torque_Nm = 0.1;
    const rig = new SlowRig(rate_Hz, LOSSLESS_GEAR, constantTorque(torque_Nm)).press();
    const intervals = rate_Hz / 10;
    rig.run(intervals);
    // T - Tc/i accelerates the rotor and, through the gear, the chuck.
    const inertia = ROTOR_KGM2 + chuck_kgm2 / RATIO ** 2;
    const motor_rad_s = ((torque_Nm - chuckFriction_Nm / RATIO) / inertia) * 0.1;
    const speed = motor_rad_s / RATIO;
    const because = 'a constant torque is integrated exactly, whatever the interval';
    expectNear(rig.plant.read('chuckSpeed'), speed, { abs: 1e-9 * speed, because });
    expectNear(rig.plant.read('chuckAngle'), 0.5 * speed * 0.1, { abs: 1e-9 * speed, because });
  });

  it('feels the mesh loss on top of the load on the way to the chuck, in and out alike', () => {
    // Sun to carrier with a fixed ring (VDI 2157, from memory): (1 + i0 e) / (1 + i0).
    const stage = (i0: number) => (1 + i0 * 0.945) / (1 + i0);
    const efficiency = stage(36 / 12) * stage(60 / 24);
    const grip_Nm = 3;
    const shaft_Nm = (grip_Nm + chuckFriction_Nm) / (RATIO * efficiency);
    const because = ROUNDING;
    for (const direction of [1, -1]) {
      for (const [share, turns] of [
        [1 - 1e-6, false],
        [1 + 1e-6, true],
      ] as const) {
        const rig = new SlowRig(500, {}, constantTorque(shaft_Nm * share));
        rig.plant.hands.set('direction', direction);
        rig.plant.hands.set('grip', grip_Nm);
        rig.press().run(250);
        expect(rig.plant.read('chuckAngle') * direction > 0, `${share} of the bound, ${direction}`).toBe(turns);
        if (!turns) {
          expect(rig.plant.read('chuckSpeed')).toBe(0);
          expectNear(rig.plant.read('gearTorque'), direction * (grip_Nm + chuckFriction_Nm) * share, {
            abs: 1e-9,
            because,
          });
          expectNear(rig.plant.read('loadTorque'), -direction * grip_Nm, {
            abs: 1e-5,
            because: 'a millionth is held back',
          });
        }
      }
    }
  });

  it('winds up a joint as far as its motion reaches, with an error that falls with the square of the interval', () => {
    // J w^2 / 2 = k a^2 / 2: the dry joint takes all of the motion and holds what it has.
    const inertia = chuck_kgm2 + ROTOR_KGM2 * RATIO ** 2;
    const from_rad_s = 20;
    const errors = [125, 250, 500, 1000].map((rate_Hz) => {
      const free = merge(LOSSLESS_GEAR, { shaft: { chuckFriction_Nm: 0 } });
      const rig = new SlowRig(rate_Hz, free, { friction_Nm: 0, viscous_Nms: 0 });
      rig.plant.hands.set('meets', LOADS.indexOf('joint'));
      rig.motor.speed_rad_s = from_rad_s * RATIO;
      rig
        .put('stopAngle', 0)
        .put('chuckSpeed', from_rad_s)
        .run(rate_Hz / 5);
      expect(rig.plant.read('chuckSpeed')).toBe(0);
      const rate_Nm_rad = (0.9 * BENCH_18.joint.full_Nm) / BENCH_18.joint.span_rad;
      return rig.plant.read('chuckAngle') - from_rad_s * Math.sqrt(inertia / rate_Nm_rad);
    });
    console.log(
      `joint: error of the angle at 125, 250, 500, 1000 Hz: ${errors.map((e) => e.toExponential(2)).join(', ')} rad`,
    );
    for (let k = 1; k < errors.length; k++) {
      const because = 'order two halves the interval into a quarter of the error; the next term is some percent of it';
      expectNear(errors[k - 1] / errors[k], 4, { abs: 0.15, because });
    }
  });

  it('is held by a rigid stop, at most half an interval beyond it, and can be turned back', () => {
    const rig = new SlowRig(500, {}, constantTorque(0.05));
    rig.plant.hands.set('meets', LOADS.indexOf('stop'));
    rig.press();
    let fastest = 0;
    rig.watch(({ plant }) => {
      fastest = Math.max(fastest, plant.read('chuckSpeed'));
    });
    rig.run(300);
    const stop = rig.plant.read('stopAngle');
    expect(rig.plant.read('chuckSpeed')).toBe(0);
    expect(rig.plant.read('chuckAngle')).toBeGreaterThan(stop - fastest * 0.002);
    expect(rig.plant.read('chuckAngle')).toBeLessThan(stop + 0.5 * fastest * 0.002);
    rig.plant.hands.set('direction', -1);
    rig.run(100);
    expect(rig.plant.read('chuckAngle')).toBeLessThan(stop - 0.5);
  });

  it('coasts in neutral until its bearing has stopped it', () => {
    const rig = new SlowRig(200);
    rig.plant.hands.set('gear', 0);
    rig.put('chuckSpeed', 60).run(60);
    // w^2 J / 2 Tc, and it is over after w J / Tc = 0.198 s.
    const because = 'a constant torque is integrated exactly, the last part of an interval too';
    expectNear(rig.plant.read('chuckAngle'), (60 * 60 * chuck_kgm2) / (2 * chuckFriction_Nm), { abs: 1e-9, because });
    expect(rig.plant.read('chuckSpeed')).toBe(0);
    expect(rig.scene.hold).toBe(0);
    expect(rig.scene.inertia).toBe(0);
  });

  it('brings both sides to one speed when the dogs catch, with the momentum that they had', () => {
    const free = merge(LOSSLESS_GEAR, { shaft: { chuckFriction_Nm: 0 } });
    const rig = new SlowRig(500, free, { friction_Nm: 0, viscous_Nms: 0 });
    rig.plant.hands.set('gear', 0);
    rig.motor.speed_rad_s = 20 * RATIO;
    rig.put('chuckSpeed', 50).run(1);
    rig.plant.hands.set('gear', 2);
    rig.run(5);
    const apart = chuck_kgm2 / RATIO ** 2;
    const together = (ROTOR_KGM2 * 20 * RATIO + apart * 50 * RATIO) / (ROTOR_KGM2 + apart);
    expect(rig.plant.gear).toBe(2);
    const because = 'an impulse is an impulse however long it takes';
    expectNear(rig.motor.speed_rad_s, together, { abs: 1e-9 * together, because });
    expectNear(rig.plant.read('chuckSpeed'), together / RATIO, { abs: 1e-9 * together, because });
  });

  it('lets the clutch slip at its setting, which the chuck never passes', () => {
    const rig = new SlowRig(1000, {}, constantTorque(0.4));
    rig.plant.hands.set('meets', LOADS.indexOf('joint'));
    rig.plant.hands.set('clutch', 6);
    rig.press();
    let largest = 0;
    rig.watch(({ plant }) => {
      largest = Math.max(largest, -plant.read('loadTorque'));
    });
    rig.run(400);
    const setting = BENCH_18.clutch.settings_Nm[5];
    expect(rig.plant.read('slipAngle')).toBeGreaterThan(1);
    expectNear(largest, setting - chuckFriction_Nm, {
      abs: 1e-9,
      because: 'the turn is split where the joint reaches what the clutch passes less the bearing',
    });
  });
});

describe('pack before the motor', () => {
  const alike = drillWith({ pack: { ...ALIKE, r0Cold_K: 0 } });
  const { pack } = alike;
  const AMPERE = 30;

  it('sags by current times resistance at once, and by its pairs over time', () => {
    const plant = new SlowPlant(alike, { rate_Hz: 500, seed: 1 });
    plant.hands.set('trigger', 1);
    plant.begin();
    plant.end(IDLE);
    plant.begin();
    const open_V = plant.around.open_V;
    const ohm = plant.around.source_ohm;
    // Charge 0.8 is a point of the measured curve.
    const cell_ohm = pack.r0_ohm * (1 + 1.5 * Math.exp(-0.8 / 0.06));
    expectNear(open_V, 5 * 4.037, { abs: 1e-12, because: ROUNDING });
    expectNear(ohm, 5 * cell_ohm + pack.leads_ohm, { abs: 1e-12, because: 'our exponential is exact to some ulp' });
    const loaded = { ...IDLE, drawn_A: AMPERE };
    plant.end(loaded);
    const because = 'the pairs have moved by I t / C in half an interval: 5 * 30 A * 1 ms / 1200 F';
    expectNear(plant.read('link'), open_V - ohm * AMPERE, { abs: 1.3e-4, because });
    const seconds = 3;
    for (let k = 1; k < seconds * 500; k++) {
      plant.begin();
      plant.end(loaded);
    }
    const pair = (r: number, c: number) => 5 * AMPERE * r * (1 - Math.exp(-seconds / (r * c)));
    const pairs_V = pair(pack.r1_ohm, pack.c1_F) + pair(pack.r2_ohm, pack.c2_F);
    expectNear(plant.read('rc1') + plant.read('rc2'), pairs_V, {
      abs: 1e-6,
      because: 'rule of order two: (0.002 s)^2 / 6 (1.8 s)^2 of 0.2 V, with some margin',
    });
    const given_As = AMPERE * seconds;
    expectNear(plant.read('charge'), 0.8 - given_As / pack.capacity_As, { abs: 1e-12, because: ROUNDING });
    // At the terminals of the cells, the leads behind them.
    const terminals = plant.read('ocv') - pairs_V - 5 * cell_ohm * AMPERE;
    expectNear(plant.read('packVoltage'), terminals, {
      abs: 5e-5,
      because: 'the curve is renewed an interval late: 5.7 V * 30 A * 2 ms / 18000 As; the pairs as above',
    });
    // Energy that left it = integral of V I, by Simpson over the closed form with the voltage falling evenly.
    const { accounts } = plant.energy();
    const at = (t: number) => 5 * 4.037 - (given(t) * SLOPE + 5 * cell_ohm * AMPERE) - part(t);
    const given = (t: number) => (AMPERE * t) / pack.capacity_As;
    const SLOPE = (5 * (4.037 - 3.926)) / (0.8 - 0.703);
    const part = (t: number) =>
      [
        [pack.r1_ohm, pack.c1_F],
        [pack.r2_ohm, pack.c2_F],
      ].reduce((sum, [r, c]) => sum + 5 * AMPERE * r * (1 - Math.exp(-t / (r * c))), 0);
    const laps = 300;
    let volts = at(0) + at(seconds);
    for (let k = 1; k < laps; k++) volts += (k % 2 === 0 ? 2 : 4) * at((k * seconds) / laps);
    const joule = (AMPERE * volts * seconds) / (3 * laps);
    expectNear(accounts['pack at its terminals'], joule, {
      abs: 1e-5 * joule,
      because: 'the 0.05 mV above over 18 V, and 0.1 mV more of the pairs at the start',
    });
  });

  it('feeds nobody before the contact closes, nor after it opened or the protection did', () => {
    const plant = new SlowPlant(alike, { rate_Hz: 200, seed: 1 });
    const interval = (drawn_A: number) => {
      plant.begin();
      const { powered } = plant.around;
      plant.end({ ...IDLE, drawn_A });
      return powered;
    };
    expect(interval(50)).toBe(false);
    expect(plant.read('packMean')).toBe(0);
    plant.hands.set('trigger', 0.5);
    expect([interval(10), interval(10)]).toEqual([false, true]);
    expect(plant.read('packMean')).toBe(10);
    // 100 A for longer than 50 ms is more than the protection allows.
    const powered = Array.from({ length: 30 }, () => interval(100));
    const opened = powered.indexOf(false);
    expectNear(opened * 5, 50, { abs: 10, because: 'delay of 50 ms, seen an interval later' });
    expect(plant.read('protection')).toBe(1);
    plant.hands.set('trigger', 0);
    interval(0);
    expect(plant.read('protection')).toBe(0);
    expect(interval(0)).toBe(false);
  });
});

describe('slow plant', () => {
  it('warms the winding by what is reported', () => {
    const plant = new SlowPlant(drillWith({ heat: { windingHousing_K_W: 1e9 } }), { rate_Hz: 100, seed: 1 });
    for (let k = 0; k < 500; k++) {
      plant.begin();
      plant.end({ ...IDLE, loss_W: 40 });
    }
    const kelvin = (40 * 5) / BENCH_18.heat.winding_J_K;
    expectNear(plant.winding_K - 293.15, kelvin, { abs: 1e-6, because: 'the housing takes 1e-9 of it' });
  });

  it('accounts for the work of the shaft behind it', () => {
    const rig = new SlowRig(500, {}, constantTorque(0.3));
    rig.plant.hands.set('meets', LOADS.indexOf('screw'));
    rig.press().run(100);
    const { accounts } = rig.plant.energy();
    const given = accounts['shaft of the motor'];
    expect(given).toBeGreaterThan(10);
    expectNear(accounts['shaft without an account'], 0, {
      abs: 0.01 * given,
      because:
        'the mesh loss of the chuck being accelerated is booked, and not felt by the motor: 9 % of 5 % of the work',
    });
  });

  it('says nothing about what only the board knows, and everything else', () => {
    const rig = new SlowRig(500).press().run(10);
    const sample = new Float64Array(SIGNALS.length);
    rig.plant.observe(sample);
    const silent = SIGNALS.filter(({ id }) => Number.isNaN(sample[SIGNAL_INDEX[id]])).map(({ id }) => id);
    expect(silent).toContain('currentQ');
    expect(silent).toContain('legHeatA');
    expect(silent).toContain('bodyAngle');
    for (const id of [
      'chuckAngle',
      'motorSpeed',
      'link',
      'charge',
      'windingHeat',
      'screwDepth',
      'gearEngaged',
    ] as const)
      expect(sample[SIGNAL_INDEX[id]], id).not.toBeNaN();
    expect(sample[SIGNAL_INDEX.time]).toBe(11 / 500);
  });

  it('stops at a number that is none, and says where', () => {
    const rig = new SlowRig(500).press();
    rig.plant.begin();
    rig.plant.end({ ...IDLE, loss_W: Number.NaN });
    expect(rig.plant.fault).toBe("plant: 'windingHeat' is not finite since interval 2; the run stopped there");
  });

  it.each([99, 1001, 0, Number.NaN, Number.POSITIVE_INFINITY])('refuses %d intervals a second', (rate_Hz) => {
    expect(() => new SlowPlant(BENCH_18, { rate_Hz, seed: 1 })).toThrow('allowed is 100 to 1000 Hz');
  });
});
