/** Spoils scenario texts in the ways of people, editors, and of those who mean harm. The same seed spoils the same way. */
import { seeded } from '../support/seeded.ts';

type Draw = () => number;
type Mutation = (text: string, draw: Draw) => string;

const whole = (draw: Draw, below: number): number => Math.floor(draw() * below);
const pick = <T>(draw: Draw, from: readonly T[]): T => from[whole(draw, from.length)];

/** Replaces one line that the draw picks among those that count. */
function onLine(text: string, draw: Draw, change: (line: string) => string): string {
  const lines = text.split('\n');
  const places = lines.flatMap((line, k) => (/\S/.test(line) && !/^\s*#/.test(line) ? [k] : []));
  if (places.length === 0) return text;
  const at = pick(draw, places);
  lines[at] = change(lines[at]);
  return lines.join('\n');
}

/** Puts something in place of one value of the text. */
const onValue = (text: string, draw: Draw, value: string): string =>
  onLine(text, draw, (line) => {
    const places = [...line.matchAll(/: ([^,{}[\]]+)/g)];
    if (places.length === 0) return `${line} ${value}`;
    const { index, 0: old } = pick(draw, places);
    return `${line.slice(0, index)}: ${value}${line.slice(index + old.length)}`;
  });

const HUGE = [
  '1e999 s',
  '-1e308 rpm',
  '99999999999999999999',
  '1e-320 A',
  '.inf',
  '.nan',
  '-0',
  '0x7fffffff',
  '1e5000',
];
const RETYPED = [
  '[1, 2]',
  '{ a: 1 }',
  'null',
  '~',
  'true',
  "''",
  '"0.5 s "',
  '5',
  '- 5',
  '2026-11-25',
  '1:30',
  'yes',
  '0o17',
  '|',
];
const ODD = [
  '\u202e60 %',
  '６０ %',
  '60\u00a0%',
  'é\u0301',
  '\u0000',
  '\ufeff',
  '\u2028',
  '😀 V',
  '\ud800',
  '\u001b[31mred',
  '60 ％',
  'Ω',
];
const TRICKS = [
  '&a [*a]',
  '!!js/function "x"',
  '!!binary aGk=',
  '!!set { a, b }',
  '<<: { drill: bench-18 }',
  '__proto__: { drill: bench-18 }',
  'constructor: { prototype: 1 }',
  '? { a: b } : c',
  '? [a, b]',
  '--- \ntitle: second',
  '%YAML 9.9',
  '...',
  'include: [../../../etc/passwd.yaml]',
  'include: [own.yaml]',
  'format: 999',
  '!!timestamp 2026-11-25',
];

/** Text that unfolds: each level names the one before it ten times. */
function bomb(draw: Draw): string {
  const levels = 5 + whole(draw, 20);
  const line = (k: number) => `l${k + 1}: &l${k + 1} [${`*l${k}, `.repeat(9)}*l${k}]`;
  return `l0: &l0 [pine]\n${Array.from({ length: levels }, (_, k) => line(k)).join('\n')}\n`;
}

const nest = (draw: Draw): string =>
  pick(draw, ['[', '{a: ', '- ', '? ', '[{', '&x [']).repeat(10 ** (1 + whole(draw, 4)));

export const MUTATIONS: Readonly<Record<string, Mutation>> = {
  delete: (text, draw) => onLine(text, draw, () => ''),
  double: (text, draw) => onLine(text, draw, (line) => `${line}\n${line}`),
  swap(text, draw) {
    const lines = text.split('\n');
    const [a, b] = [whole(draw, lines.length), whole(draw, lines.length)];
    [lines[a], lines[b]] = [lines[b], lines[a]];
    return lines.join('\n');
  },
  cut: (text, draw) => text.slice(0, whole(draw, text.length)),
  'cut a piece'(text, draw) {
    const from = whole(draw, text.length);
    return text.slice(0, from) + text.slice(from + 1 + whole(draw, 30));
  },
  misspell(text, draw) {
    const at = whole(draw, text.length);
    return text.slice(0, at) + String.fromCharCode(97 + whole(draw, 26)) + text.slice(at + 1);
  },
  retype: (text, draw) => onValue(text, draw, pick(draw, RETYPED)),
  huge: (text, draw) => onValue(text, draw, pick(draw, HUGE)),
  unicode: (text, draw) => onValue(text, draw, pick(draw, ODD)),
  trick: (text, draw) => onValue(text, draw, pick(draw, TRICKS)),
  'trick at the end': (text, draw) => `${text}${pick(draw, TRICKS)}\n`,
  bomb: (text, draw) => `${text}${bomb(draw)}`,
  nest: (text, draw) => `${text}x: ${nest(draw)}\n`,
  'nest a value': (text, draw) => onValue(text, draw, nest(draw)),
  tabs: (text, draw) => onLine(text, draw, (line) => `\t${line}`),
  indent: (text, draw) => onLine(text, draw, (line) => ` ${line}`),
  repeat(text, draw) {
    const lines = text.split('\n');
    return [...lines, ...Array.from({ length: 1 + whole(draw, 3000) }, () => pick(draw, lines))].join('\n');
  },
  'many keys': (text, draw) =>
    text + Array.from({ length: 10 ** (1 + whole(draw, 4)) }, (_, k) => `k${k}: 1\n`).join(''),
  'long word': (text, draw) =>
    onValue(text, draw, pick(draw, ['1', 'x', ' ', '1 ', 'µ']).repeat(10 ** (1 + whole(draw, 5)))),
};

/** Spoils a text once, twice or three times; tells how. */
export function spoiled(text: string, seed: number): { readonly text: string; readonly how: readonly string[] } {
  const draw = seeded(seed);
  for (let warm = 0; warm < 3; warm++) draw();
  const names = Object.keys(MUTATIONS);
  // Every kind comes first equally often, whatever the draw is like.
  const how = [names[seed % names.length], ...Array.from({ length: whole(draw, 3) }, () => pick(draw, names))];
  return { text: how.reduce((now, name) => MUTATIONS[name](now, draw), text), how };
}
