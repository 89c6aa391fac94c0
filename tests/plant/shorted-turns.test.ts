/**
 * Shorted turns in phase A against closed forms of a coupled loop.
 *
 * Source  Kirchhoff's voltage law for a loop that links a share m of the phase flux, in sinusoidal steady state:
 *         I = m w lambda / |r + j w (L' + 2/3 m^2 L)|, L' the part of its inductance that is not shared, L the phase inductance of
 *         a linear round rotor. Derived by hand.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set, TINY } from '../support/rigs.ts';

const SHARE = 0.1;
const SHORT_OHM = 0.004;
const P = 4;
const WINDING = { polePairs: P, r_ohm: 0.008, ld_H: 12e-6, lq_H: 12e-6, magnet_Wb: 1.15e-3 };
const SPEED_RAD_S = 900;
const TURN_S = (2 * Math.PI) / (P * SPEED_RAD_S);

/** A rotor that nothing slows, on a link above its EMF, with shorted turns. */
function spinning(gates: number, rds_ohm = TINY): Plant {
  const drill = drillWith(merge(idealSupply(18), linearWinding(WINDING), LOCKED, { bridge: { rds_ohm } }));
  const plant = livePlant(drill, 0.5e-6, 0);
  plant.damage.set('turnsShorted', SHARE);
  plant.damage.set('shortOhm', SHORT_OHM);
  plant.command(gates, 0, 0, 0);
  set(plant, { rotorSpeed: SPEED_RAD_S, gates });
  return plant;
}

/** Amplitude of the loop current and mean air-gap torque over a whole number of turns, after `settle` turns. */
function measure(plant: Plant, settle = 5, turns = 5): { amplitude: number; torque: number; phase: number } {
  while (plant.time_s < settle * TURN_S) plant.step();
  let [c, s, torque, steps, phase] = [0, 0, 0, 0, 0];
  const end = plant.time_s + turns * TURN_S;
  while (plant.time_s < end) {
    const theta = plant.read('rotorAngle') * P;
    c += plant.read('loopCurrent') * Math.cos(theta);
    s += plant.read('loopCurrent') * Math.sin(theta);
    torque += plant.read('airGap');
    phase = Math.max(phase, Math.hypot(plant.read('iAlpha'), plant.read('iBeta')));
    steps++;
    plant.step();
  }
  return { amplitude: (2 / steps) * Math.hypot(c, s), torque: torque / steps, phase };
}

describe('shorted turns', () => {
  const w = P * SPEED_RAD_S;

  it('carry the current of their loop while the motor coasts with open terminals, and brake by its heat', () => {
    const plant = spinning(0);
    const { amplitude, torque, phase } = measure(plant);
    const r = SHORT_OHM + SHARE * WINDING.r_ohm;
    const x = w * (plant.read('loopHenry') + (2 / 3) * SHARE ** 2 * WINDING.ld_H);
    const expected = (SHARE * w * WINDING.magnet_Wb) / Math.hypot(r, x);
    const why = 'steps of 0.5 us are 0.1 degrees; the window is a whole number of steps, not of turns: 1 part in 3500';
    expectNear(amplitude, expected, { abs: 1e-3 * expected, because: why });
    const brake = (0.5 * expected ** 2 * r) / SPEED_RAD_S;
    expectNear(-torque, brake, { abs: 2e-3 * brake, because: why });
    expectNear(phase, 0, { abs: 1e-12, because: 'no terminal conducts' });
    expectNear(plant.energy().share, 0, { abs: 1e-6, because: 'the bound of every run' });
  });

  it('without them the same motor coasts without current and torque', () => {
    const plant = spinning(0);
    plant.damage.set('turnsShorted', 0);
    plant.renew();
    const { amplitude, torque } = measure(plant, 1, 2);
    expectNear(amplitude, 0, { abs: 1e-12, because: 'there is no loop' });
    expectNear(torque, 0, { abs: 1e-12, because: 'no current anywhere' });
  });

  it('ripple the torque of a motor that brakes into resistors, with the books closed', () => {
    // Without resistance the phase voltage is zero, and every turn of it sees nothing.
    const plant = spinning(7, 0.02);
    const sound = spinning(7, 0.02);
    sound.damage.set('turnsShorted', 0);
    sound.renew();
    const swing = (one: Plant) => {
      while (one.time_s < 20 * TURN_S) one.step();
      let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
      for (const end = one.time_s + TURN_S; one.time_s < end; one.step()) {
        low = Math.min(low, one.read('airGap'));
        high = Math.max(high, one.read('airGap'));
      }
      return high - low;
    };
    const healthy = swing(sound);
    expect(swing(plant)).toBeGreaterThan(10 * healthy);
    expectNear(plant.energy().share, 0, { abs: 1e-6, because: 'the bound of every run' });
  });

  it('may come and go: what the loop had stored becomes heat', () => {
    const plant = spinning(0);
    while (plant.time_s < 2 * TURN_S) plant.runPeriod();
    const before = plant.read('lossCopper');
    plant.damage.set('turnsShorted', 0);
    plant.runPeriod();
    plant.runPeriod();
    expect(plant.read('lossCopper')).toBeGreaterThanOrEqual(before);
    expect(plant.read('loopCurrent')).toBe(0);
    expectNear(plant.energy().share, 0, { abs: 1e-6, because: 'the bound of every run' });
  });
});
