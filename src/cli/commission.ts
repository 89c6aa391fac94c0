/** Prints what the commissioning firmware measures on a preset, and how each number was found. */
import { LinkLostError, SetUpError } from '../links/errors.ts';
import { PRESETS, presetNames } from '../plant/presets/index.ts';
import { type Commissioned, commissioned } from '../runner/commission.ts';
import { suggestion } from '../scenario/nearest.ts';

type Row = readonly [what: string, value: number, unit: string, how: string];

const DIGITS = 4;

/** Text for stdout. Throws SetUpError on a name that no preset has, and when the firmware gives the motor up. */
export function commissionText(name: string, asJson: boolean): string {
  if (!Object.hasOwn(PRESETS, name)) {
    throw new SetUpError(`commission: no preset is called '${name}'; ${suggestion(name, presetNames())}`);
  }
  const result = measured(name);
  if (asJson) return `${JSON.stringify({ preset: name, ...result }, null, 2)}\n`;
  const rows = rowsOf(result).map(([what, value, unit, how]) => [what, shortest(value), unit, how]);
  const widths = [0, 1, 2].map((k) => Math.max(...rows.map((row) => row[k].length)));
  const line = ([what, value, unit, how]: string[]) =>
    `  ${what.padEnd(widths[0])}  ${value.padStart(widths[1])}  ${unit.padEnd(widths[2])}  ${how}`;
  return `${PRESETS[name].title} (${name}), measured by frames alone in ${result.virtual_s.toFixed(2)} s of virtual time\n${rows.map(line).join('\n')}\n`;
}

function measured(name: string): Commissioned {
  try {
    return commissioned(PRESETS[name]);
  } catch (error) {
    if (error instanceof LinkLostError || !(error instanceof Error)) throw error;
    throw new SetUpError(error.message);
  }
}

function rowsOf({ facts: f, watch }: Commissioned): Row[] {
  const pulses = 'voltage pulses all around, flux from volt-seconds, least squares';
  return [
    ['pole pairs', f.polePairs, '', 'label of the motor'],
    [
      'resistance',
      f.r_ohm * 1e3,
      'mohm',
      'direct current at six levels: slope; phase, switch and shunt, as warm as the run made them',
    ],
    ['dead time', f.deadShare * 100, '% of the link', 'the same: where the line meets zero current'],
    ['d inductance', f.ld_H * 1e6, 'uH', pulses],
    ['q inductance', f.lq_H * 1e6, 'uH', pulses],
    ['d square term', f.satD2, 'A/Wb^2', pulses],
    ['d cube term', f.satD3, 'A/Wb^3', pulses],
    ['q cube term', f.satQ3, 'A/Wb^3', pulses],
    ['cross term', f.satCross, 'A/Wb^2', pulses],
    ['magnet flux', f.lambda_Wb * 1e3, 'mWb', 'coasting with current along the flux, once each way: mean length'],
    ['inertia', f.inertia_kgm2 * 1e6, 'kg mm^2', 'speeding up and slowing down through the same speeds'],
    ['largest current', f.most_A, 'A', 'setting, else 55 % of the range of the board'],
    ['line rest', watch['line rest'] * 1e3, 'mV', 'largest deviation of a level from the line; 20 are allowed'],
    ['map rest', watch['map rest'], 'A', 'root mean square that the pulses leave unexplained'],
  ];
}

function shortest(value: number): string {
  if (value !== 0 && (Math.abs(value) >= 1e6 || Math.abs(value) < 1e-3)) {
    const [mantissa, power] = value.toExponential(DIGITS - 1).split('e');
    return `${mantissa}e${Number(power)}`;
  }
  return String(Number(value.toPrecision(DIGITS)));
}
