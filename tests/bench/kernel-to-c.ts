/**
 * Turns src/plant/kernel.ts into C, line by line: the twin that the bench times can never be of an older version. It knows
 * just the few forms that the kernel is written in, and refuses what it does not know.
 */
import { readFileSync } from 'node:fs';
import { AXIS_ALPHA, AXIS_BETA } from '../../src/plant/axes.ts';
import { W, X } from '../../src/plant/columns.ts';
import type { KernelMap } from '../../src/plant/kernel-map.ts';

const KERNEL = new URL('../../src/plant/kernel.ts', import.meta.url);

/** Members of the map that the kernel reads; the struct holds them in this order. */
export function mapMembers(map: KernelMap): readonly string[] {
  return Object.entries(map)
    .filter(([, value]) => typeof value === 'number')
    .map(([name]) => name);
}

/** C source of the function integrate(x, w, k, task, most). Throws Error on a form that it does not know. */
export function kernelInC(map: KernelMap): string {
  const text = readFileSync(KERNEL, 'utf8');
  const constants = [...text.matchAll(/^(?:export )?const (\w+) = ([-\d.e]+);$/gm)].map(
    ([, name, value]) => `static const double ${name} = ${value};`,
  );
  const body = text.slice(text.indexOf('export function integrate'));
  const columns: Readonly<Record<string, Readonly<Record<string, number>>>> = { X, W };
  const c = body
    .replace(/\/\/.*$/gm, '')
    .replace(
      /export function integrate\([\s\S]*?\): number \{/,
      'int integrate(double *x, double *w, const struct map *k, int task, int most)\n{',
    )
    .replace(/const \{ ([^}]*) \} = k;/g, (_, list: string) =>
      list
        .split(',')
        .map((part) => part.trim().split(': '))
        .map(([member, name = member]) => `const double ${name} = k->${member};`)
        .join(' '),
    )
    .replace(/\b([XW])\.(\w+)/g, (_, table: string, name: string) => {
      const column = columns[table][name];
      if (column === undefined) throw new Error(`kernel.ts: ${table}.${name} is no column`);
      return String(column);
    })
    .replace(/const blocked = ([^|]*) \| 0;/, 'const int blocked = (int)$1;')
    .replace(/\bk\./g, 'k->')
    .replace(/\bconst (?!int\b|double\b)(\w+) =/g, 'const double $1 =')
    .replace(/\blet (\w+)/g, 'double $1')
    // Whole numbers divide to fractions in TypeScript only.
    .replace(/\b(\d+) \/ (\d+)\b/g, '$1.0 / $2.0')
    .replace(/===/g, '==')
    .replace(/!==/g, '!=')
    .replace(/\bMath\.(min|max)\(/g, 'f$1_(')
    .replace(/\bMath\.abs\(/g, 'fabs_(')
    .replace(/return code;/g, 'return (int)code;');
  const left = c.match(/=>|\bfunction\b|\bMath\b|\bof\b|`|\?\?/);
  if (left) throw new Error(`kernel.ts: the C twin does not know '${left[0]}'`);
  return [
    '#define fmin_(a, b) ((a) < (b) ? (a) : (b))',
    '#define fmax_(a, b) ((a) > (b) ? (a) : (b))',
    '#define fabs_(a) ((a) < 0 ? -(a) : (a))',
    `struct map { double ${mapMembers(map).join(', ')}; };`,
    `static const double AXIS_ALPHA[3] = { ${[...AXIS_ALPHA].join(', ')} };`,
    `static const double AXIS_BETA[3] = { ${[...AXIS_BETA].join(', ')} };`,
    ...constants,
    c,
  ].join('\n');
}
