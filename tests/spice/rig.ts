/** The plant as the circuit that a deck describes: same parts, nothing that warms, fades, saturates or rubs. */
import type { Plant } from '../../src/plant/plant.ts';
import type { SlotName } from '../../src/plant/slots.ts';
import {
  ALIKE,
  drillWith,
  LOCKED,
  LOSSLESS_EDGES,
  linearWinding,
  livePlant,
  merge,
  type Overrides,
  set,
  TINY,
} from '../support/rigs.ts';

type Params = Readonly<Record<string, number>>;

/** Beyond any current, voltage, charge or heat that a test reaches. */
const NEVER = 1e12;

/** Nothing changes with temperature, and nothing gets warm. */
const COLD: Overrides = {
  heat: { ambient_K: 293.15, winding_J_K: NEVER, housing_J_K: NEVER },
  magnet: { temp_1_K: 0, knee_A: NEVER },
  bridge: { rdsTemp_1_K: 0, rdsTemp2_1_K2: 0, diodeTemp_V_K: 0, junction_J_K: NEVER, avalanche_V: NEVER },
};

/** A pack of one cell without RC pairs that never empties and never opens. */
const PLAIN_PACK: Overrides = {
  pack: {
    series: 1,
    capacity_As: NEVER,
    charge: 0.5,
    ocvCharge: [0, 1],
    r0AtEmpty: 0,
    r0Cold_K: 0,
    c1_F: NEVER,
    c2_F: NEVER,
    overCurrent_A: NEVER,
    cellLow_V: -NEVER,
    cellHigh_V: NEVER,
    ...ALIKE,
  },
};

/** A plant that neither warms nor wears and whose rotor keeps its speed. */
export const STILL: Overrides = merge(PLAIN_PACK, COLD, LOCKED, {
  bridge: LOSSLESS_EDGES,
  shaft: { rotorFriction_Nm: 0, rotorViscous_Nms: 0, windage_Nms2: 0 },
});

/** Bridge, winding and a rotor of constant speed from the parameters of a deck; the link is stiff. */
export function circuit(p: Params, more: Overrides = {}): Overrides {
  return merge(
    STILL,
    {
      pack: { ocvCell_V: [p.link_V, p.link_V + TINY], leads_ohm: 1e6, leads_H: 0 },
      link: { c_F: 1e9, esr_ohm: 0, logic_ohm: NEVER, logicUp_V: 0.1, logicDown_V: 0 },
      bridge: {
        pwm_Hz: 1 / p.period_s,
        deadTime_s: p.dead_s,
        rds_ohm: p.rds_ohm,
        diode_V: p.diode_V,
        diode_ohm: p.diode_ohm,
        shunt_ohm: p.shunt_ohm,
      },
    },
    more,
  );
}

/** Pairs of poles of every machine in the decks. */
export const POLE_PAIRS = 4;

/** Winding of a deck: the same R and L in both axes, EMF of peak emf_V at the electrical speed speed_rad_s. */
export function starOf(p: Params): Overrides {
  return linearWinding({
    polePairs: POLE_PAIRS,
    r_ohm: p.r_ohm,
    ld_H: p.l_H,
    lq_H: p.l_H,
    magnet_Wb: p.emf_V / p.speed_rad_s,
  });
}

/** Plant of a deck that starts without current, its rotor at angle_rad turning at speed_rad_s (both electrical). */
export function spinning(p: Params, overrides: Overrides, h_s: number): Plant {
  const plant = livePlant(drillWith(overrides), h_s, p.angle_rad);
  plant.hands.set('gear', 0);
  set(plant, { rotorSpeed: p.speed_rad_s / POLE_PAIRS });
  return plant;
}

/** Legs in force from the very start, low switches on, high ones at duty 1; with what else is set at that moment. */
export function switchedOn(
  plant: Plant,
  gates: number,
  duties: readonly number[],
  more: { [S in SlotName]?: number } = {},
): void {
  const on = (k: number) => (((gates >> k) & 1) === 0 ? 0 : duties[k] === 1 ? 1 : -1);
  plant.command(gates, duties[0], duties[1], duties[2]);
  set(plant, { onA: on(0), onB: on(1), onC: on(2), wantA: on(0), wantB: on(1), wantC: on(2), ...more });
}

/** Quantities of a plant step by step, and by straight lines between the steps. */
export class Trace {
  private readonly t_s: number[] = [];
  private readonly rows: number[][] = [];
  private readonly plant: Plant;
  private readonly look: (plant: Plant) => number[];

  constructor(plant: Plant, look: (plant: Plant) => number[]) {
    this.plant = plant;
    this.look = look;
    this.note();
  }

  private note(): void {
    this.t_s.push(this.plant.time_s);
    this.rows.push(this.look(this.plant));
  }

  /** Runs to t_s or a step beyond it, and gives the quantities there. */
  at(t_s: number): number[] {
    while (this.plant.time_s < t_s) {
      this.plant.step();
      this.note();
    }
    let k = this.t_s.length - 1;
    while (k > 0 && this.t_s[k - 1] > t_s) k--;
    if (k === 0) return this.rows[0];
    const share = (t_s - this.t_s[k - 1]) / (this.t_s[k] - this.t_s[k - 1]);
    return this.rows[k].map((to, j) => this.rows[k - 1][j] + share * (to - this.rows[k - 1][j]));
  }
}

/** Phase currents [A]. */
export function phaseCurrents_A(plant: Plant): number[] {
  const a = plant.read('iAlpha');
  const r = (Math.sqrt(3) / 2) * plant.read('iBeta');
  return [a, r - a / 2, -r - a / 2];
}

/** Largest distance of two columns. */
export function farthest(actual: readonly number[], expected: readonly number[]): number {
  return Math.max(...expected.map((value, k) => Math.abs(actual[k] - value)));
}
