/**
 * What a drill is described with is what its plant does: speed without load, stall, link, gears and heat, preset by preset.
 *
 * Drive   a commutator that knows the true angle and switches at 80 kHz, so that its own lateness does not count.
 * Source  the plant itself. Fundamental of a held vector: sin(x)/x, by hand.
 */
import { describe, it } from 'vitest';
import { circuitOf } from '../../src/plant/describe/circuit.ts';
import type { Figure } from '../../src/plant/describe/figures.ts';
import { stall_Nm } from '../../src/plant/describe/running.ts';
import { sheetOf } from '../../src/plant/describe/sheet.ts';
import { heatMotor } from '../../src/plant/heat.ts';
import type { DrillParams } from '../../src/plant/params.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { PRESETS, presetNames } from '../../src/plant/presets/index.ts';
import { SLOTS, slot } from '../../src/plant/slots.ts';
import { expectNear } from '../support/near.ts';
import { ALIKE, livePlant, set } from '../support/rigs.ts';

const TAU = 2 * Math.PI;
/** High and low leg for the current 90 degrees ahead of a rotor at 0, 60, .. 300 degrees. */
const LEGS = [
  [1, 2],
  [1, 0],
  [2, 0],
  [2, 1],
  [0, 1],
  [0, 2],
] as const;

/** The preset in the state that the figures are for, with a timer that is fine enough not to matter. */
function calm(name: string, more: { readonly [G in keyof DrillParams]?: object } = {}): DrillParams {
  const p = PRESETS[name];
  const base = {
    ...p,
    pack: { ...p.pack, ...ALIKE, charge: 0.5 },
    bridge: { ...p.bridge, pwm_Hz: 40_000, updates: 2, deadTime_s: 0, junction_J_K: 1e9 },
    heat: { ...p.heat, winding_J_K: 1e9 },
  };
  for (const [group, values] of Object.entries(more))
    Object.assign(base, { [group]: { ...base[group as 'pack'], ...values } });
  return base;
}

const figures = (p: DrillParams): Map<string, Figure> =>
  new Map(sheetOf(p).sections.flatMap((s) => s.figures.map((f) => [f.id, f] as const)));
const told = (p: DrillParams, id: string): number => figures(p).get(id)?.value ?? Number.NaN;

/** Electrical rotor angle in the middle of the interval that the next command acts in [rad]. */
function angleAhead(plant: Plant): number {
  const speed = plant.params.winding.polePairs * plant.read('rotorSpeed');
  return Math.atan2(plant.read('sin'), plant.read('cos')) + 1.5 * plant.period_s * speed;
}

/** One update of ideal block commutation. */
function block(plant: Plant, duty = 1): void {
  const sector = Math.round(angleAhead(plant) / (Math.PI / 3));
  const [high, low] = LEGS[((sector % 6) + 6) % 6];
  const duties = [0, 0, 0];
  duties[high] = duty;
  plant.command((1 << high) | (1 << low), duties[0], duties[1], duties[2]);
  plant.runPeriod();
}

/** Mean motor speed and mean pack current of the last part of a run [rad/s, A]. */
function settle(plant: Plant, run_s: number, drive: () => void): { speed_rad_s: number; pack_A: number } {
  const total = Math.round(run_s / plant.period_s);
  const last = Math.round(total / 10);
  let angle = 0;
  let pack = 0;
  for (let n = 0; n < total; n++) {
    if (n === total - last) angle = plant.read('rotorAngle');
    drive();
    if (n >= total - last) pack += plant.read('packMean') / last;
  }
  return { speed_rad_s: (plant.read('rotorAngle') - angle) / (last * plant.period_s), pack_A: pack };
}

describe.each(presetNames())('%s', (name) => {
  for (const [gear, suffix, where] of [
    [0, '', 'the motor alone'],
    [1, 'Low', 'the chuck in low gear'],
    [2, 'High', 'the chuck in high gear'],
  ] as const) {
    it(`turns ${where} as fast under block commutation as described`, () => {
      const p = calm(name);
      const plant = livePlant(p, 1e-6, 0.1);
      plant.hands.set('gear', gear);
      const { speed_rad_s } = settle(plant, 0.15, () => block(plant));
      const ratio = gear === 0 ? 1 : told(p, `ratio${suffix}`);
      expectNear(speed_rad_s / ratio / told(p, `block${suffix}_rad_s`), 1, {
        abs: 0.006,
        because:
          'a current that follows the EMF over 60 degrees: <k^2>/<k>^2 = 1.0018; the overlap of 2 % to a fifth of itself',
      });
    });
  }

  it('draws the current without load that is described', () => {
    const p = calm(name, { link: { logic_ohm: 1e6 } });
    const plant = livePlant(p, 1e-6, 0.1);
    plant.hands.set('gear', 0);
    const { pack_A } = settle(plant, 0.15, () => block(plant));
    const because = 'the ripple of the current heats copper too, a share of the small power that the friction takes';
    expectNear(pack_A / told(p, 'block_A'), 1, { abs: 0.04, because });
  });

  it('turns the motor as fast under a sinusoidal voltage at its limit as described', () => {
    const p = calm(name);
    const c = circuitOf(p);
    const limit = c.nominal_V / Math.sqrt(3);
    const plant = livePlant(p, 1e-6, 0.1);
    plant.hands.set('gear', 0);
    set(plant, { rotorSpeed: limit / (p.winding.polePairs * p.winding.magnet_Wb) });
    // Ahead of the q axis by as much as keeps the d current at zero.
    const perAmpere = p.winding.r_ohm / limit;
    let ahead = 0.02;
    const { speed_rad_s } = settle(plant, 0.45, () => {
      const id = plant.read('cos') * plant.read('iAlpha') + plant.read('sin') * plant.read('iBeta');
      ahead += ((perAmpere * plant.period_s) / 0.01) * id;
      const angle = angleAhead(plant) + Math.PI / 2 + ahead + 6 * perAmpere * id;
      const leg = [0, 1, 2].map((k) => Math.cos(angle - (k * TAU) / 3) / Math.sqrt(3));
      const middle = 0.5 * (Math.max(...leg) + Math.min(...leg));
      plant.command(7, 0.5 + leg[0] - middle, 0.5 + leg[1] - middle, 0.5 + leg[2] - middle);
      plant.runPeriod();
    });
    const half = 0.5 * plant.period_s * p.winding.polePairs * speed_rad_s;
    expectNear(speed_rad_s / told(p, 'sine_rad_s'), Math.sin(half) / half, {
      abs: 0.002,
      because: 'edges of 40 to 80 ns at 40 kHz, and a d current that has settled to some hundredths of an ampere',
    });
  });

  it('stalls at the current and torque that are described', () => {
    const linear = { satD2: 0, satD3: 0, satCross: 0, satQ3: 0, cogPoles_Nm: 0, cogSlots_Nm: 0, cogBoth_Nm: 0 };
    // Cells without pairs and a logic that never gives up: the figure is that of the bare circuit.
    const pack = { c1_F: 1e6, c2_F: 1e7 };
    const p = calm(name, { winding: linear, shaft: { rotor_kgm2: 1e9 }, pack, link: { logicDown_V: 1 } });
    let torque = 0;
    let current = 0;
    const angles = 24;
    for (let k = 0; k < angles; k++) {
      // Legs B and C: best angle 0, so the sector runs from -30 to +30 degrees.
      const plant = livePlant(p, 1e-6, ((k + 0.5) / angles - 0.5) * (Math.PI / 3));
      plant.hands.set('gear', 0);
      // Some twenty time constants of the loop.
      while (plant.time_s < 0.012) {
        plant.command(6, 0, 1, 0);
        plant.runPeriod();
      }
      torque += plant.read('airGap') / angles;
      current += (plant.read('iBeta') * Math.sqrt(3)) / 2 / angles;
    }
    expectNear(current / told(p, 'stall_A'), 1, {
      abs: 0.002,
      because: 'the logic supply draws its part through the pack, and the current is 10 time constants old',
    });
    expectNear(torque / told(p, 'stall_Nm'), 1, { abs: 0.002, because: 'as the current; 24 angles a sector: 3e-4' });
  });

  it.each([1, 2] as const)('pushes the chuck against a stop in gear %d as hard as described', (gear) => {
    const p = calm(name, { winding: { cogPoles_Nm: 0, cogSlots_Nm: 0, cogBoth_Nm: 0 } });
    const plant = livePlant(p, 1e-6, 0.1);
    plant.hands.set('gear', gear);
    plant.hands.set('meets', 2);
    const mean_updates = 400;
    const updates = 16_000;
    let push = 0;
    let rotor = 0;
    for (let n = 0; n < updates; n++) {
      block(plant, 0.1 + (0.2 * n) / updates);
      if (n < updates - mean_updates) continue;
      push -= plant.read('loadTorque') / mean_updates;
      rotor += plant.read('airGap') / mean_updates;
    }
    const c = circuitOf(p);
    expectNear(push / stall_Nm(p, c, gear, rotor / c.block_Nm_A), 1, {
      abs: 0.03,
      because:
        'the duty rises, so the rotor creeps on from sector to sector and its inertia takes and gives some of it',
    });
  });
});

describe('leads and link', () => {
  it('ring at the frequency and with the damping that are described', () => {
    // Little resistance, so that there is something to count.
    const p = calm('bench-18', {
      pack: { r0_ohm: 2e-4, leads_ohm: 2e-3 },
      link: { esr_ohm: 1e-3, logic_ohm: 1e6 },
    });
    const plant = livePlant(p, 0.25e-6, 0);
    const low_V = plant.read('ocv') - 1;
    set(plant, { capacitor: low_V, link: low_V });
    // The current rises from zero: swings of both signs, one after the other.
    const zeros: number[] = [];
    const peaks: number[] = [];
    let before = 0;
    let peak = 0;
    while (zeros.length < 4) {
      plant.step();
      const now = plant.read('packCurrent');
      peak = Math.max(peak, now);
      if (before > 0 && now <= 0) {
        zeros.push(plant.time_s);
        peaks.push(peak);
        peak = 0;
      }
      before = now;
    }
    const damping = told(p, 'link_damping');
    const slower = Math.sqrt(1 - damping * damping);
    const per_s = 3 / (zeros[3] - zeros[0]);
    expectNear(per_s / (told(p, 'link_Hz') * slower), 1, { abs: 0.002, because: 'a step of 0.25 µs in 136 µs' });
    const decrement = Math.log(peaks[0] / peaks[3]) / 3;
    const because = 'peaks are read at steps: cos(0.01) of a swing';
    expectNear(decrement / ((TAU * damping) / slower), 1, { abs: 0.01, because });
  });
});

describe.each(presetNames())('heat of %s', (name) => {
  it('evens out with the two time constants that are described', () => {
    const p = PRESETS[name];
    // One step of the plant turns the two temperatures over the air by a matrix; its eigenvalues are the decays.
    const dt_s = 1e-3;
    const column = (winding_K: number, housing_K: number): [number, number] => {
      const x = new Float64Array(SLOTS.length);
      x[slot('windingHeat')] = winding_K;
      x[slot('housingHeat')] = housing_K;
      heatMotor(x, dt_s, p.heat, 0, 0);
      return [x[slot('windingHeat')], x[slot('housingHeat')]];
    };
    const [a, c] = column(1, 0);
    const [b, d] = column(0, 1);
    const root = Math.sqrt((a - d) ** 2 + 4 * b * c);
    const because = 'implicit Euler: half a step over the time constant';
    expectNear(-dt_s / Math.log((a + d - root) / 2) / told(p, 'fast_s'), 1, { abs: 1e-3, because });
    expectNear(-dt_s / Math.log((a + d + root) / 2) / told(p, 'slow_s'), 1, { abs: 1e-3, because });
  });
});
