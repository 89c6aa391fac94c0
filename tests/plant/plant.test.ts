/**
 * The plant as a whole: determinism, snapshot, supply, loads, and what stops it.
 *
 * Source  energy and statics by hand; a hand that holds 4 to 8 N·m on a chuck is common practice, no source.
 */
import { describe, expect, it } from 'vitest';
import { LOADS, STOP_AFTER_RAD } from '../../src/plant/load/index.ts';
import { screwMap } from '../../src/plant/load/screw.ts';
import { drillParams } from '../../src/plant/params.ts';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { SLOTS, slot } from '../../src/plant/slots.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, type Overrides, set } from '../support/rigs.ts';

/** Legs and duties that push the rotor forward from any angle: two phases by the Hall code, `duty` on the high leg. */
function push(plant: Plant, duty: number): void {
  const high = [0, 1, 2, 1, 0, 0, 2][plant.read('hall')];
  const low = [0, 2, 0, 0, 1, 2, 1][plant.read('hall')];
  const d = [0, 0, 0];
  d[high] = duty;
  plant.command((1 << high) | (1 << low), d[0], d[1], d[2]);
  plant.runPeriod();
}

describe('determinism', () => {
  it('gives the same hash whether a period is run at once or in single steps', () => {
    const whole = livePlant(BENCH_18, 1e-6, 1);
    const sliced = livePlant(BENCH_18, 1e-6, 1);
    for (let k = 0; k < 200; k++) {
      push(whole, 0.2);
      const high = [0, 1, 2, 1, 0, 0, 2][sliced.read('hall')];
      const low = [0, 2, 0, 0, 1, 2, 1][sliced.read('hall')];
      const d = [0, 0, 0];
      d[high] = 0.2;
      sliced.command((1 << high) | (1 << low), d[0], d[1], d[2]);
      for (let n = 0; n < 7; n++) sliced.step();
      sliced.runPeriod();
    }
    expect(sliced.hash()).toBe(whole.hash());
  });

  it('goes on from a snapshot as it did before', () => {
    const plant = livePlant(BENCH_18, 1e-6, 1);
    for (let k = 0; k < 100; k++) push(plant, 0.3);
    for (let n = 0; n < 11; n++) plant.step();
    const kept = plant.snapshot();
    for (let k = 0; k < 50; k++) push(plant, 0.3);
    const hash = plant.hash();
    plant.restore(kept);
    for (let k = 0; k < 50; k++) push(plant, 0.3);
    expect(plant.hash()).toBe(hash);
  });

  it('hashes every slot', () => {
    const plant = new Plant(BENCH_18, { seed: 1, h_s: 1e-6 });
    const hashes = new Set([plant.hash()]);
    for (let k = 0; k < SLOTS.length; k++) {
      const before = plant.state[k];
      plant.state[k] = before + 1;
      hashes.add(plant.hash());
      plant.state[k] = before;
    }
    expect(hashes.size).toBe(SLOTS.length + 1);
  });

  it('draws the rotor angle from the seed', () => {
    const angle = (seed: number) => new Plant(BENCH_18, { seed, h_s: 1e-6 }).read('rotorAngle');
    expect(angle(1)).toBe(angle(1));
    expect(angle(1)).not.toBe(angle(2));
  });
});

describe('supply', () => {
  it('gives no supply before the trigger is pressed, and takes it away after', () => {
    const plant = new Plant(BENCH_18, { seed: 1, h_s: 1e-6 });
    plant.runPeriod();
    expect(plant.powered).toBe(false);
    expect(plant.read('link')).toBe(0);
    plant.hands.set('trigger', 0.5);
    for (let k = 0; k < 40; k++) plant.runPeriod();
    expect(plant.powered).toBe(true);
    plant.hands.set('trigger', 0);
    let off_s = 0;
    while (plant.powered && off_s < 2) {
      plant.runPeriod();
      off_s += plant.period_s;
    }
    // The link discharges through the logic supply: R C ln(V0 / V1), the link a little under the cells at the start.
    const { link } = BENCH_18;
    const expected = link.logic_ohm * link.c_F * Math.log(plant.read('ocv') / link.logicDown_V);
    expectNear(off_s, expected, { abs: 2e-3, because: 'the link starts within 0.5 % of the cells: 1.4 ms of R C' });
  });

  it('closes nothing when a gate command comes without supply', () => {
    const plant = new Plant(BENCH_18, { seed: 1, h_s: 1e-6 });
    for (let k = 0; k < 3; k++) {
      plant.command(7, 1, 0, 0);
      plant.runPeriod();
    }
    expect([plant.read('onA'), plant.read('onB'), plant.read('onC')]).toEqual([0, 0, 0]);
  });
});

describe('legs', () => {
  it('carry no current when all are off and the EMF stays below the link', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.2);
    set(plant, { rotorSpeed: 1500, chuckSpeed: 1500 / 14 });
    for (let k = 0; k < 40; k++) plant.runPeriod();
    const why = 'the multiplier holds the flux at the magnet flux; rounding of 1e-19 Wb over 12 uH';
    expectNear(Math.hypot(plant.read('iAlpha'), plant.read('iBeta')), 0, { abs: 1e-9, because: why });
  });

  it('rectify into the link when the EMF exceeds it', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.2);
    plant.hands.set('trigger', 0);
    set(plant, { rotorSpeed: 4000, chuckSpeed: 4000 / 14 });
    for (let k = 0; k < 40; k++) plant.runPeriod();
    // Line peak sqrt(3) w lambda = 31.9 V less two diodes; the link is pumped towards it and never beyond.
    const peak = Math.sqrt(3) * 4 * plant.read('rotorSpeed') * BENCH_18.winding.magnet_Wb;
    expect(plant.read('link')).toBeGreaterThan(plant.read('ocv') + 2);
    expect(plant.read('link')).toBeLessThan(peak);
  });

  it('show v_n + e at the pole of an open leg', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.7);
    set(plant, { rotorSpeed: 500, chuckSpeed: 500 / 14 });
    plant.command(3, 0, 0, 0); // A and B on the low rail, C open
    for (let k = 0; k < 2; k++) plant.runPeriod();
    for (let n = 0; n < 20; n++) plant.step();
    const x = plant.state;
    const start = [x[slot('psiAlpha')], x[slot('psiBeta')], plant.time_s];
    plant.step();
    const dt = plant.time_s - start[2];
    // Phase C voltage from Faraday with i_c = 0; the star point from legs A and B, both at R i (i_b = -i_a).
    const vAlpha = (x[slot('psiAlpha')] - start[0]) / dt + BENCH_18.winding.r_ohm * x[slot('iAlpha')];
    const vBeta = (x[slot('psiBeta')] - start[1]) / dt + BENCH_18.winding.r_ohm * x[slot('iBeta')];
    const phase = (k: number) => Math.cos((2 * Math.PI * k) / 3) * vAlpha + Math.sin((2 * Math.PI * k) / 3) * vBeta;
    const leg = BENCH_18.bridge.rds_ohm + BENCH_18.bridge.shunt_ohm;
    const star = -leg * x[slot('iAlpha')] - phase(0);
    const poleC = x[slot('floatPole')];
    const why = 'end current instead of mean current on 10 mohm: 0.2 A per step makes 2 mV';
    expectNear(poleC, star + phase(2), { abs: 4e-3, because: why });
    expectNear(-0.5 * x[slot('iAlpha')] - (Math.sqrt(3) / 2) * x[slot('iBeta')], 0, {
      abs: 1e-6,
      because: 'an open leg carries nothing; one Newton step a pass leaves less than a microampere',
    });
  });
});

describe('loads', () => {
  it('a hand stronger than the drill holds the chuck at exactly zero', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.2);
    plant.hands.set('grip', 50);
    for (let k = 0; k < 400; k++) push(plant, 0.04);
    expect(plant.read('chuckSpeed')).toBe(0);
    expect(plant.read('gearTorque')).toBeGreaterThan(1);
    expectNear(-plant.read('loadTorque') + 0, plant.read('gearTorque'), {
      abs: BENCH_18.shaft.chuckFriction_Nm + 1e-9,
      because: 'the bearing of the chuck holds the rest, up to its friction',
    });
  });

  it('a weaker hand slips at its own torque', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.2);
    plant.hands.set('grip', 0.5);
    for (let k = 0; k < 2000; k++) push(plant, 0.3);
    expect(plant.read('chuckSpeed')).toBeGreaterThan(10);
    expectNear(plant.read('loadTorque'), -0.5, { abs: 1e-12, because: 'a slipping multiplier sits on its bound' });
  });

  it('a hard stop stops the chuck where it stands and lets it go back', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.2);
    plant.hands.set('meets', LOADS.indexOf('stop'));
    for (let k = 0; k < 3000; k++) push(plant, 0.12);
    const step = 30 * plant.h_s; // no drill here turns faster than 30 rad/s into the stop
    expectNear(plant.read('chuckAngle'), STOP_AFTER_RAD, { abs: step, because: 'the stop acts from the step after' });
    expect(plant.read('chuckSpeed')).toBe(0);
    set(plant, { rotorSpeed: -500 });
    for (let k = 0; k < 100; k++) {
      plant.command(0, 0, 0, 0);
      plant.runPeriod();
    }
    expect(plant.read('chuckAngle')).toBeLessThan(STOP_AFTER_RAD - 0.01);
  });

  it('a screw goes in by its pitch per turn, holds when seated, and asks less on the way out', () => {
    const screw = screwMap(BENCH_18.screw, BENCH_18.bit);
    const plant = livePlant(BENCH_18, 1e-6, 0.2);
    plant.hands.set('meets', LOADS.indexOf('screw'));
    for (let k = 0; k < 6000; k++) push(plant, 0.5);
    const turns = plant.read('chuckAngle') / (2 * Math.PI);
    expectNear(plant.read('depth'), turns * screw.pitch_m, { abs: 1e-12, because: 'rounding of some 1e5 sums' });
    expect(screw.leverOut_m).toBeLessThan(screw.leverIn_m);
    expect(screw.leverOut_m).toBeGreaterThan(0);
  });

  it('a screw driven past its strength strips: it turns and clamps no more', () => {
    const plant = livePlant(drillWith({ screw: { strip_N: 200 } }), 1e-6, 0.2);
    plant.hands.set('meets', LOADS.indexOf('screw'));
    plant.hands.placeNew(0.0575);
    for (let k = 0; k < 1600; k++) push(plant, 0.4);
    expect(plant.read('stripped')).toBe(1);
    const depth = plant.read('depth');
    const angle = plant.read('chuckAngle');
    for (let k = 0; k < 400; k++) push(plant, 0.4);
    expect(plant.read('depth')).toBe(depth);
    expect(plant.read('chuckAngle')).toBeGreaterThan(angle + 1);
  });

  it('power screw levers agree with a worked tightening: 4.648835 on, 2.787444 N·m off at 2 kN', () => {
    // d2 4.5 mm, P 2.6 mm, mu 0.3, 60-degree flank, rh 3.5 mm; by the textbook formula, evaluated by hand.
    const screw = screwMap(BENCH_18.screw, BENCH_18.bit);
    expectNear(2000 * screw.leverIn_m, 4.648835, { abs: 5e-7, because: 'six printed decimals' });
    expectNear(2000 * screw.leverOut_m, 2.787444, { abs: 5e-7, because: 'six printed decimals' });
  });
});

describe('guards', () => {
  it('stop the plant and name slot and tick when a value is not finite', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.2);
    for (let k = 0; k < 5; k++) plant.runPeriod();
    set(plant, { twist: Number.NaN });
    for (let k = 0; k < 5; k++) plant.runPeriod();
    expect(plant.fault).toMatch(/^plant: '\w+' is not finite since tick 6; the run stopped there$/);
    const tick = plant.tick;
    plant.runPeriod();
    expect(plant.tick).toBe(tick);
  });

  it('refuse what is out of range and say what is allowed', () => {
    expect(() => new Plant(BENCH_18, { seed: 1, h_s: 5e-6 })).toThrow(
      'h_s is 0.000005 s; allowed is 2.5e-7 to 0.000002 s',
    );
    const plant = new Plant(BENCH_18, { seed: 1, h_s: 1e-6 });
    expect(() => plant.hands.set('gear', 3)).toThrow('gear is 3; allowed is 0 to 2');
    expect(() => plant.hands.set('direction', 0.5)).toThrow('direction is 0.5; allowed is a whole number');
    expect(() => plant.restore(new Float64Array(3))).toThrow('snapshot has 3 numbers');
    const checked = (over: Overrides) => () => drillParams(drillWith(over));
    expect(checked({ winding: { r_ohm: -1 } })).toThrow('winding.r_ohm is -1 ohm; allowed is 0.0001 to 50 ohm');
    expect(checked({ winding: { satD2: 1e9 } })).toThrow('the d axis is no inductor');
    expect(checked({ winding: { slots: 12.5 } })).toThrow('winding.slots is 12.5; it must be a whole number');
    expect(checked({ gear: { ringTeeth: [36, 60] } })).toThrow('gear.ringTeeth has 2 stages');
    expect(checked({ bridge: { avalanche_V: 20 } })).toThrow('bridge.avalanche_V is 20 V; allowed is more than a full');
  });

  it('name a source for every number of a preset', () => {
    for (const [group, block] of Object.entries(BENCH_18)) {
      if (typeof block !== 'object' || group === 'sources') continue;
      for (const key of Object.keys(block)) expect(BENCH_18.sources[`${group}.${key}`], `${group}.${key}`).toBeTruthy();
    }
  });

  it('keep the preset consistent: pole pairs times flux is link over sqrt 3 over no-load speed', () => {
    const { polePairs, magnet_Wb } = BENCH_18.winding;
    const w0 = 18 / Math.sqrt(3) / (polePairs * magnet_Wb);
    // 20 000 to 25 000 rpm are usual for an 18 V motor of this kind; common practice, no source.
    expectNear((w0 * 30) / Math.PI, 22_500, { abs: 2500, because: 'the usual range, common practice, no source' });
  });
});
