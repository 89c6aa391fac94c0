/** What can be put on the pins of a board, one thing at a time: names, units, and what it changes in a quiet Sense. */
import { HALL_AGE_MOST, NOT_FITTED, SENSE_IN, SENSE_OUT, type Sense } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import {
  currentCounts,
  currentOf_A,
  hallCode,
  hallFlags,
  hasShunt,
  heatCounts,
  heatOf_K,
  linkCounts,
  linkOf_V,
  toCount,
  topCount,
  travelOf,
  triggerCounts,
} from './pins.ts';

/** Something with a number and a unit. */
export interface Quantity {
  /** Units in which it may be written; keys of DISPLAY_UNITS, the usual one first. */ readonly units: readonly string[];
  /** Least and largest SI value that the board can read. */ range(h: Hello): readonly [number, number];
  change(h: Hello, si: number, sense: Sense): Partial<Sense>;
}

/** Something that is one of a few. */
export interface Choice {
  readonly choices: Readonly<Record<string, (sense: Sense) => Partial<Sense>>>;
}

export type Input = (Quantity | Choice) & {
  readonly doc: string;
  /** Why this board cannot be shown it; undefined when it can. */ missing(h: Hello): string | undefined;
};

const HALLS = hallFlags(7);
const DIRECTION = SENSE_IN | SENSE_OUT;
const always = (): undefined => undefined;

const shunt = (key: 'ia' | 'ib' | 'ic', leg: 'a' | 'b' | 'c'): Input => ({
  doc: `current of leg ${leg.toUpperCase()}, positive into the motor`,
  units: ['A', 'mA'],
  range: (h) => [currentOf_A(h, 0), currentOf_A(h, topCount(h))],
  missing: (h) => (hasShunt(h, leg) ? undefined : `Hello.shunts is '${h.shunts}': leg ${leg.toUpperCase()} has none`),
  change: (h, si) => ({ [key]: currentCounts(h, si) }),
});

const heat = (key: 'heatBridge' | 'heatMotor', where: string): Input => ({
  doc: `temperature of the thermistor ${where}`,
  units: ['°C', 'K'],
  range: (h) => [heatOf_K(h, topCount(h) - 1), heatOf_K(h, 1)],
  missing: (h) => (h.ntc_ohm === undefined ? 'Hello states no thermistors' : undefined),
  change: (h, si) => ({ [key]: heatCounts(h, si) }),
});

const phase = (key: 'phaseA' | 'phaseB' | 'phaseC'): Input => ({
  doc: `voltage of terminal ${key.at(-1)}`,
  units: ['V', 'mV'],
  range: (h) => [0, topCount(h) * (h.phasePerCount_V ?? 0)],
  missing: (h) => (h.phasePerCount_V === undefined ? 'Hello.phasePerCount_V is left out' : undefined),
  change: (h, si) => ({ [key]: toCount(h, si / h.phasePerCount_V!) }),
});

/** Hall sensors that read 1, by letters. */
const HALL_CHOICES = ['none', 'A', 'B', 'AB', 'C', 'AC', 'BC', 'ABC'];

export const INPUTS: Readonly<Record<string, Input>> = {
  ia: shunt('ia', 'a'),
  ib: shunt('ib', 'b'),
  ic: shunt('ic', 'c'),
  link: {
    doc: 'DC link voltage',
    units: ['V', 'mV'],
    range: (h) => [0, linkOf_V(h, topCount(h))],
    missing: always,
    change: (h, si) => ({ link: linkCounts(h, si) }),
  },
  trigger: {
    doc: 'travel of the trigger',
    units: ['%'],
    range: (h) => [
      Math.min(travelOf(h, 0), travelOf(h, topCount(h))),
      Math.max(travelOf(h, 0), travelOf(h, topCount(h))),
    ],
    missing: always,
    change: (h, si) => ({ trigger: triggerCounts(h, si) }),
  },
  direction: {
    doc: 'direction switch',
    missing: always,
    choices: {
      in: ({ flags }) => ({ flags: (flags & ~DIRECTION) | SENSE_IN }),
      out: ({ flags }) => ({ flags: (flags & ~DIRECTION) | SENSE_OUT }),
      locked: ({ flags }) => ({ flags: flags & ~DIRECTION }),
    },
  },
  angle: {
    doc: 'electrical angle of the rotor, at rest, as its Halls show it',
    units: ['deg', 'deg el', 'rad'],
    range: () => [-2 * Math.PI, 2 * Math.PI],
    missing: (h) => (h.halls ? undefined : 'Hello.halls is false'),
    change: (_h, si, { flags }) => ({ flags: (flags & ~HALLS) | hallFlags(hallCode(si)), hallAge: HALL_AGE_MOST }),
  },
  hall: {
    doc: 'Hall sensors that read 1',
    missing: (h) => (h.halls ? undefined : 'Hello.halls is false'),
    choices: Object.fromEntries(
      HALL_CHOICES.map((name, code): [string, (sense: Sense) => Partial<Sense>] => [
        name,
        ({ flags }) => ({ flags: (flags & ~HALLS) | hallFlags(code), hallAge: HALL_AGE_MOST }),
      ]),
    ),
  },
  bridge: heat('heatBridge', 'at the switches'),
  motor: heat('heatMotor', 'in the winding'),
  phaseA: phase('phaseA'),
  phaseB: phase('phaseB'),
  phaseC: phase('phaseC'),
  gyro: {
    doc: 'rate of the housing about the spindle',
    units: ['rad/s', 'rpm'],
    range: (h) =>
      [0, topCount(h)].map((n) => (n - h.currentZero_counts) * (h.gyroPerCount_rad_s ?? 0)) as [number, number],
    missing: (h) => (h.gyroPerCount_rad_s === undefined ? 'Hello.gyroPerCount_rad_s is left out' : undefined),
    change: (h, si) => ({ gyro: toCount(h, h.currentZero_counts + si / h.gyroPerCount_rad_s!) }),
  },
};

/** One thing to put on the pins, as the user wrote it, and ready to be applied. */
export interface Injection {
  readonly name: string;
  readonly text: string;
  /** SI value of a quantity. */ readonly si?: number;
  apply(h: Hello, sense: Sense): Partial<Sense>;
}

/** Fields of Sense that carry a reading, with what to call them and how to read a count. */
export interface Pin {
  readonly name: string;
  readonly counts: number;
  readonly si: string;
}

const number = (value: number, digits = 4): string => String(Number(value.toPrecision(digits)));

/** Every fitted pin of a Sense in counts and SI. */
export function pinsOf(h: Hello, s: Sense): Pin[] {
  const code = (s.flags & HALLS) / hallFlags(1);
  const analog = (name: string, counts: number, si: () => string): Pin[] =>
    counts === NOT_FITTED ? [] : [{ name, counts, si: si() }];
  const celsius = (counts: number) => `${number(heatOf_K(h, counts) - 273.15)} °C`;
  const volts = (counts: number) => `${number(counts * (h.phasePerCount_V ?? 0))} V`;
  const direction = (s.flags & SENSE_IN) !== 0 ? 'in' : (s.flags & SENSE_OUT) !== 0 ? 'out' : 'locked';
  return [
    ...analog('ia', s.ia, () => `${number(currentOf_A(h, s.ia))} A`),
    ...analog('ib', s.ib, () => `${number(currentOf_A(h, s.ib))} A`),
    ...analog('ic', s.ic, () => `${number(currentOf_A(h, s.ic))} A`),
    ...analog('link', s.link, () => `${number(linkOf_V(h, s.link))} V`),
    ...analog('trigger', s.trigger, () => `${number(100 * travelOf(h, s.trigger))} %`),
    { name: 'direction', counts: s.flags & DIRECTION, si: direction },
    ...(h.halls ? [{ name: 'hall', counts: code, si: sectorText(code) }] : []),
    ...analog('bridge', s.heatBridge, () => celsius(s.heatBridge)),
    ...analog('motor', s.heatMotor, () => celsius(s.heatMotor)),
    ...analog('phaseA', s.phaseA, () => volts(s.phaseA)),
    ...analog('phaseB', s.phaseB, () => volts(s.phaseB)),
    ...analog('phaseC', s.phaseC, () => volts(s.phaseC)),
    ...analog('gyro', s.gyro, () => `${number((s.gyro - h.currentZero_counts) * (h.gyroPerCount_rad_s ?? 0))} rad/s`),
  ];
}

/** Middle of the angles at which a Hall code stands [rad]; NaN for 000 and 111. */
export function middleOf_rad(code: number): number {
  for (let sector = 0; sector < 6; sector++)
    if (hallCode((sector * Math.PI) / 3) === code) return (sector * Math.PI) / 3;
  return Number.NaN;
}

function sectorText(code: number): string {
  const letters = HALL_CHOICES[code];
  const middle_rad = middleOf_rad(code);
  if (Number.isNaN(middle_rad)) return `${letters}: no angle gives this`;
  const middle = Math.round((middle_rad * 180) / Math.PI);
  return `${letters}: ${middle - 30} to ${middle + 30} deg el`;
}
