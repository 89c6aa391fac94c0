/**
 * The one place where SI meets the units that people read. Inside everything is SI.
 *
 * A display unit is SI value = shown value * factor. Temperatures are shown in degrees Celsius with an offset.
 */
export interface DisplayUnit {
  /** SI unit that it stands for, '' when dimensionless. */ readonly si: string;
  /** SI value of one displayed unit. */ readonly factor: number;
  /** SI value of the displayed zero, 0 when absent. */ readonly offset?: number;
}

const TAU = 2 * Math.PI;

export const DISPLAY_UNITS: Readonly<Record<string, DisplayUnit>> = Object.freeze({
  '': { si: '', factor: 1 },
  '%': { si: '', factor: 0.01 },
  s: { si: 's', factor: 1 },
  ms: { si: 's', factor: 1e-3 },
  us: { si: 's', factor: 1e-6 },
  V: { si: 'V', factor: 1 },
  mV: { si: 'V', factor: 1e-3 },
  A: { si: 'A', factor: 1 },
  mA: { si: 'A', factor: 1e-3 },
  ohm: { si: 'ohm', factor: 1 },
  mohm: { si: 'ohm', factor: 1e-3 },
  S: { si: 'S', factor: 1 },
  rad: { si: 'rad', factor: 1 },
  deg: { si: 'rad', factor: TAU / 360 },
  'deg el': { si: 'rad', factor: TAU / 360 },
  'rad/s': { si: 'rad/s', factor: 1 },
  rpm: { si: 'rad/s', factor: TAU / 60 },
  'Hz el': { si: 'rad/s', factor: TAU },
  N·m: { si: 'N·m', factor: 1 },
  mN·m: { si: 'N·m', factor: 1e-3 },
  N: { si: 'N', factor: 1 },
  kN: { si: 'N', factor: 1e3 },
  m: { si: 'm', factor: 1 },
  mm: { si: 'm', factor: 1e-3 },
  J: { si: 'J', factor: 1 },
  W: { si: 'W', factor: 1 },
  K: { si: 'K', factor: 1 },
  '°C': { si: 'K', factor: 1, offset: 273.15 },
  'rad/s²': { si: 'rad/s²', factor: 1 },
  mWb: { si: 'Wb', factor: 1e-3 },
});

/** Converts an SI value to the named display unit. Throws RangeError on an unknown unit. */
export function toDisplay(value: number, unit: string): number {
  const { factor, offset = 0 } = displayUnit(unit);
  return (value - offset) / factor;
}

/** Converts a displayed value to SI. Throws RangeError on an unknown unit. */
export function fromDisplay(value: number, unit: string): number {
  const { factor, offset = 0 } = displayUnit(unit);
  return value * factor + offset;
}

/** Looks a display unit up; the error lists what is allowed. */
export function displayUnit(unit: string): DisplayUnit {
  const row = DISPLAY_UNITS[unit];
  if (!row) throw new RangeError(`unit '${unit}' is not known; known are ${Object.keys(DISPLAY_UNITS).join(', ')}`);
  return row;
}

/** A unit as it is printed: `mohm` as `mΩ`, `us` as `µs`, `deg el` as `° el`. */
export const unitSymbol = (unit: string): string => unit.replace('ohm', 'Ω').replace(/^u/, 'µ').replace(/^deg/, '°');
