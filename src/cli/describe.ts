/** Prints what there is to say about a preset: what follows from its parameters, then each parameter with its source. */
import { SetUpError } from '../links/errors.ts';
import { type DrillSheet, sheetOf } from '../plant/describe/sheet.ts';
import { PRESETS, presetNames } from '../plant/presets/index.ts';
import { suggestion } from '../scenario/nearest.ts';

/** Text for stdout; a list of the presets without a name. Throws SetUpError on a name that no preset has. */
export function describeText(name: string | undefined, asJson: boolean): string {
  if (name === undefined) {
    const list = presetNames().map((known) => ({ name: known, title: PRESETS[known].title }));
    return asJson ? json(list) : table(list.map((row) => [row.name, row.title]));
  }
  if (!Object.hasOwn(PRESETS, name)) {
    throw new SetUpError(`describe: no preset is called '${name}'; ${suggestion(name, presetNames())}`);
  }
  const sheet = sheetOf(PRESETS[name]);
  return asJson ? json(sheet) : sheetText(sheet);
}

const json = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`;

/** Digits of what was computed, and of what was given. */
const FIGURE_DIGITS = 4;
const PARAMETER_DIGITS = 6;

function sheetText(sheet: DrillSheet): string {
  // One width for all sections: their numbers end below each other.
  const label = Math.max(...sheet.sections.flatMap(({ figures }) => figures.map(({ what }) => what.length)));
  const figures = sheet.sections.map(({ title, figures: rows }) => {
    const cells = rows.map((f) => [
      `  ${f.what.padEnd(label)}`,
      readable(f.shown, FIGURE_DIGITS).padStart(8),
      f.shownUnit,
    ]);
    return `${title}\n${table(cells)}`;
  });
  const parameters = sheet.groups.map(({ name, title, rows }) => {
    const cells = rows.map((row) => [
      `  ${row.key}`,
      readable(row.value, PARAMETER_DIGITS),
      row.unit,
      row.doc,
      `[${row.source}]`,
    ]);
    return `${title} (${name})\n${table(cells)}`;
  });
  return [
    `${sheet.name}: ${sheet.title}\n`,
    `WHAT FOLLOWS FROM THE PARAMETERS\n${sheet.conditions}\n`,
    ...figures,
    'PARAMETERS: SI value, unit, meaning [source]\n',
    ...parameters,
  ].join('\n');
}

/** A number as short as its digits allow, whole digits kept; a list has its values side by side. */
function readable(value: number | readonly number[], digits: number): string {
  if (typeof value !== 'number') return value.map((v) => readable(v, digits)).join(' ');
  const size = Math.abs(value);
  if (size !== 0 && (size < 1e-3 || size >= 1e6)) {
    const [mantissa, power] = value.toExponential(digits - 1).split('e');
    return `${Number(mantissa)}e${Number(power)}`;
  }
  return String(size >= 10 ** digits ? Math.round(value) : Number(value.toPrecision(digits)));
}

/** Longest cell that others are lined up behind; a longer one, such as a list, pushes its own line only. */
const WIDEST = 70;

/** Lines up columns. */
function table(rows: readonly (readonly string[])[]): string {
  const widths = (rows[0] ?? []).map((_, column) =>
    Math.max(...rows.map((row) => row[column].length).filter((length) => length <= WIDEST), 0),
  );
  const line = (row: readonly string[]) => row.map((cell, column) => cell.padEnd(widths[column])).join('  ');
  return `${rows.map((row) => line(row).trimEnd()).join('\n')}\n`;
}
