/** Everything there is to say about a drill: what follows from its parameters, and each parameter with its source. */
import type { Band } from '../params/band.ts';
import { type DrillParams, GROUPS, type GroupName } from '../params.ts';
import { type FigureSection, figuresOf } from './figures.ts';

export interface ParameterRow {
  readonly key: string;
  /** SI, as declared. */ readonly value: number | readonly number[];
  readonly unit: string;
  readonly doc: string;
  readonly source: string;
}

export interface ParameterGroup {
  readonly name: string;
  readonly title: string;
  readonly rows: readonly ParameterRow[];
}

export interface DrillSheet {
  readonly name: string;
  readonly title: string;
  /** What the figures hold for. */ readonly conditions: string;
  readonly sections: readonly FigureSection[];
  readonly groups: readonly ParameterGroup[];
}

const CONDITIONS =
  'Pack half full and rested, nothing warmed up, magnets whole, no saturation, no dead time; clutch locked, tool in a vice.';

const TITLES: Readonly<Record<GroupName, string>> = {
  pack: 'Pack, contact and protection',
  link: 'DC link',
  bridge: 'Bridge and timer',
  winding: 'Winding and iron',
  magnet: 'Magnets',
  heat: 'Heat of the motor',
  shaft: 'Rotor and chuck',
  gear: 'Gearbox',
  clutch: 'Clutch',
  body: 'Tool in the hand',
  screw: 'Screw in wood',
  bit: 'Bit in the screw',
  wood: 'Hole in wood',
  steel: 'Hole in steel',
  joint: 'Test joint',
};

/** The sheet of a drill. Every value survives a structured clone. */
export function sheetOf(p: DrillParams): DrillSheet {
  const groups = (Object.keys(GROUPS) as GroupName[]).map((name) => ({
    name,
    title: TITLES[name],
    rows: rowsOf(p, name),
  }));
  return { name: p.name, title: p.title, conditions: CONDITIONS, sections: figuresOf(p), groups };
}

function rowsOf(p: DrillParams, name: GroupName): ParameterRow[] {
  const values = p[name] as unknown as Readonly<Record<string, number | readonly number[]>>;
  return Object.entries<Band>(GROUPS[name]).map(([key, band]) => ({
    key,
    value: values[key],
    unit: band.unit,
    doc: band.doc,
    source: p.sources[`${name}.${key}`] ?? '',
  }));
}
