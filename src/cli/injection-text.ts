/** Reads what a person writes to be injected: NAME=VALUE with its unit, or one of a few words. */
import { INPUTS, type Injection } from '../examine/injections.ts';
import { SetUpError } from '../links/errors.ts';
import type { Hello } from '../protocol/hello.ts';
import { suggestion } from '../scenario/nearest.ts';
import { readWithUnit } from '../scenario/quantity.ts';
import { toDisplay } from '../units/convert.ts';

/** How names may be given, for help texts. */
export function inputLines(): string[] {
  const width = Math.max(...Object.keys(INPUTS).map((name) => name.length));
  return Object.entries(INPUTS).map(([name, input]) => {
    const how = 'choices' in input ? Object.keys(input.choices).join(', ') : input.units.join(', ');
    return `  ${name.padEnd(width)}  ${input.doc} [${how}]`;
  });
}

/** Checks the name, without a board. Throws SetUpError that says what is allowed. */
export function checkInjection(option: string, text: string): void {
  split(option, text);
}

/** Throws SetUpError that says what is allowed, and what this board cannot be shown. */
export function readInjection(option: string, text: string, hello: Hello): Injection {
  const { name, value } = split(option, text);
  const input = INPUTS[name];
  const why = input.missing(hello);
  if (why !== undefined) throw new SetUpError(`${option} ${text}: this board cannot be shown ${name}: ${why}`);
  if ('choices' in input) {
    const key = Object.keys(input.choices).find((choice) => choice.toLowerCase() === value.toLowerCase());
    if (key === undefined) {
      throw new SetUpError(`${option} ${text}: ${suggestion(value, Object.keys(input.choices))}`);
    }
    return { name, text: `${name} = ${key}`, apply: (_h, sense) => input.choices[key](sense) };
  }
  const read = readWithUnit(value.replace(/(\d)\s*C$/, '$1 °C'), input.units);
  if (!read.ok) throw new SetUpError(`${option} ${text}: ${read.why}`);
  const unit = input.units[0];
  const [low, high] = input.range(hello).map((si) => toDisplay(si, unit));
  const shown = toDisplay(read.si, unit);
  if (shown < low || shown > high) {
    throw new SetUpError(
      `${option} ${text}: ${name} is beyond what this board reads, ${round(low)} ${unit} to ${round(high)} ${unit}`,
    );
  }
  const { si } = read;
  return { name, text: `${name} = ${round(shown)} ${unit}`, si, apply: (h, sense) => input.change(h, si, sense) };
}

const round = (value: number): string => String(Number(value.toPrecision(5)));

function split(option: string, text: string): { name: string; value: string } {
  const [, name = '', value = ''] = /^\s*([^=]*?)\s*=\s*(.*?)\s*$/s.exec(text) ?? [];
  if (name === '' || value === '') {
    throw new SetUpError(
      `${option} ${text}: write it as NAME=VALUE, e.g. ia=10A; names are ${Object.keys(INPUTS).join(', ')}`,
    );
  }
  if (!Object.hasOwn(INPUTS, name)) {
    throw new SetUpError(`${option} ${text}: nothing is called '${name}'; ${suggestion(name, Object.keys(INPUTS))}`);
  }
  return { name, value };
}
