/** What follows from the parameters of a drill, in SI and in the unit that people read. */
import type { DrillParams } from '../params.ts';
import { gearMap } from '../transmission.ts';
import { type Circuit, circuitOf } from './circuit.ts';
import { type Gear, noLoadBlock, noLoadSine, stall_Nm } from './running.ts';

export interface Figure {
  /** Stays the same for programs that read it. */ readonly id: string;
  readonly what: string;
  /** SI. */ readonly value: number;
  /** SI unit, '' when dimensionless. */ readonly unit: string;
  /** The value in the unit that people read. */ readonly shown: number;
  readonly shownUnit: string;
}

export interface FigureSection {
  readonly title: string;
  readonly figures: readonly Figure[];
}

const TAU = 2 * Math.PI;
/** SI value of one of the units that people read. */
const SHOWN: Readonly<Record<string, number>> = {
  rpm: TAU / 60,
  'rpm/(mN·m)': (TAU / 60) * 1e3,
  'mN·m/A': 1e-3,
  mohm: 1e-3,
  ms: 1e-3,
  us: 1e-6,
  '%': 0.01,
};
const GEARS: readonly [Gear, string, string][] = [
  [1, 'Low', 'in gear 1 (low)'],
  [2, 'High', 'in gear 2 (high)'],
];

function figure(id: string, what: string, value: number, unit: string, shownUnit = unit): Figure {
  return { id, what, value, unit, shown: value / (SHOWN[shownUnit] ?? 1), shownUnit };
}

/** All figures, section by section. */
export function figuresOf(p: DrillParams): FigureSection[] {
  const c = circuitOf(p);
  return [
    { title: 'Supply', figures: supply(p, c) },
    { title: 'Motor', figures: motor(p, c) },
    { title: 'Speed without load', figures: noLoad(p, c) },
    { title: 'Torque at stall', figures: stall(p, c) },
    { title: 'Gears', figures: gears(p) },
    { title: 'Heat', figures: heat(p) },
  ];
}

function supply(p: DrillParams, c: Circuit): Figure[] {
  const { leads_H } = p.pack;
  const { c_F, esr_ohm } = p.link;
  const ohm = c.pack_ohm + esr_ohm;
  const list = [
    figure('full_V', 'pack, full', c.full_V, 'V'),
    figure('nominal_V', 'pack, half full: what the figures below stand on', c.nominal_V, 'V'),
    figure('empty_V', 'pack, empty', c.empty_V, 'V'),
    figure('pack_ohm', 'resistance of cells and leads', c.pack_ohm, 'ohm', 'mohm'),
  ];
  if (leads_H > 0) {
    list.push(
      figure('link_Hz', 'resonance of leads and link, undamped', 1 / (TAU * Math.sqrt(leads_H * c_F)), 'Hz'),
      figure('link_damping', 'its damping ratio', 0.5 * ohm * Math.sqrt(c_F / leads_H), ''),
    );
  } else list.push(figure('link_s', 'time constant of pack and link', ohm * c_F, 's', 'us'));
  return list;
}

function motor(p: DrillParams, c: Circuit): Figure[] {
  const { ld_H, lq_H } = p.winding;
  const k2 = c.block_Nm_A * c.block_Nm_A;
  return [
    figure('line_ohm', 'resistance, phase to phase', c.line_ohm, 'ohm', 'mohm'),
    figure('block_Nm_A', 'torque per ampere of two phases, mean over 60°', c.block_Nm_A, 'N·m/A', 'mN·m/A'),
    figure('sine_Nm_A', 'torque per peak ampere of a sinusoidal current', c.sine_Nm_A, 'N·m/A', 'mN·m/A'),
    figure('gradient', 'speed lost per torque, R/k² phase to phase', c.line_ohm / k2, 'rad/(s·N·m)', 'rpm/(mN·m)'),
    figure('electricalD_s', 'electrical time constant L/R, d axis', ld_H / c.phase_ohm, 's', 'us'),
    figure('electricalQ_s', 'electrical time constant L/R, q axis', lq_H / c.phase_ohm, 's', 'us'),
    figure('mechanical_s', 'mechanical time constant J R/k²', (p.shaft.rotor_kgm2 * c.line_ohm) / k2, 's', 'ms'),
  ];
}

function noLoad(p: DrillParams, c: Circuit): Figure[] {
  const { ratio } = gearMap(p.gear);
  const alone = noLoadBlock(p, c, 0);
  const sine = noLoadSine(p, c, 0);
  const at = (gear: Gear, speed_rad_s: number) => speed_rad_s / ratio[gear];
  return [
    figure('block_rad_s', 'motor alone, block commutation', alone.speed_rad_s, 'rad/s', 'rpm'),
    figure('block_A', 'its current', alone.current_A, 'A'),
    ...GEARS.map(([gear, id, where]) =>
      figure(`block${id}_rad_s`, `chuck ${where}`, at(gear, noLoadBlock(p, c, gear).speed_rad_s), 'rad/s', 'rpm'),
    ),
    figure('sine_rad_s', 'motor alone, sinusoidal voltage, peak link/√3', sine.speed_rad_s, 'rad/s', 'rpm'),
    figure('sine_A', 'its current, peak', sine.current_A, 'A'),
    ...GEARS.map(([gear, id, where]) =>
      figure(`sine${id}_rad_s`, `chuck ${where}`, at(gear, noLoadSine(p, c, gear).speed_rad_s), 'rad/s', 'rpm'),
    ),
  ];
}

function stall(p: DrillParams, c: Circuit): Figure[] {
  const terminals = c.nominal_V / c.line_ohm;
  const loop = c.nominal_V / c.loop_ohm;
  const brownOut = Math.max(0, (c.nominal_V - p.link.logicDown_V) / c.pack_ohm);
  const held = Math.min(loop, p.pack.overCurrent_A, brownOut);
  const chucks = (id: string, current_A: number) =>
    GEARS.map(([gear, name, where]) =>
      figure(`${id}${name}_Nm`, `chuck ${where}`, stall_Nm(p, c, gear, current_A), 'N·m'),
    );
  return [
    figure('terminal_A', 'current of the motor on the bare voltage', terminals, 'A'),
    figure('terminal_Nm', 'its torque at the rotor', stall_Nm(p, c, 0, terminals), 'N·m'),
    figure('stall_A', 'current through pack and bridge at full duty', loop, 'A'),
    figure('stall_Nm', 'its torque at the rotor', stall_Nm(p, c, 0, loop), 'N·m'),
    ...chucks('stall', loop),
    figure('brownOut_A', 'current at which the link is too low for the logic', brownOut, 'A'),
    figure('held_A', 'current that logic and pack protection let stand', held, 'A'),
    figure('held_Nm', 'its torque at the rotor', stall_Nm(p, c, 0, held), 'N·m'),
    ...chucks('held', held),
  ];
}

function gears(p: DrillParams): Figure[] {
  const map = gearMap(p.gear);
  return GEARS.flatMap(([gear, id, where]) => [
    figure(`ratio${id}`, `motor turns per chuck turn ${where}`, map.ratio[gear], ''),
    figure(`forth${id}`, 'efficiency from motor to chuck', 1 / (1 + map.forth[gear]), '', '%'),
    figure(`back${id}`, 'efficiency from chuck to motor', 1 - map.back[gear], '', '%'),
  ]);
}

/** Each node by itself, as catalogs print it, and the two true time constants of both together. */
function heat(p: DrillParams): Figure[] {
  const h = p.heat;
  const a = 1 / (h.winding_J_K * h.windingHousing_K_W);
  const b = 1 / (h.housing_J_K * h.windingHousing_K_W);
  const d = 1 / (h.housing_J_K * h.housingAir_K_W);
  const sum = a + b + d;
  const root = Math.sqrt(sum * sum - 4 * a * d);
  return [
    figure('winding_s', 'winding by itself, to the housing', 1 / a, 's'),
    figure('housing_s', 'housing by itself, to the air', 1 / d, 's'),
    figure('fast_s', 'both together, fast', 2 / (sum + root), 's'),
    figure('slow_s', 'both together, slow', (sum + root) / (2 * a * d), 's'),
  ];
}
