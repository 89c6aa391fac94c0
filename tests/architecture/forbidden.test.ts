/**
 * What source may not say. Below the links nothing reads a clock, draws chance or waits; where the plant steps, nothing
 * calls a function whose last digits ECMAScript leaves to the engine, or the same run would hash differently elsewhere.
 */
import { describe, expect, it } from 'vitest';
import { read, sources, withoutComments } from './source.ts';

const QUIET = ['units', 'protocol', 'plant', 'sensing', 'control', 'scenario', 'runner'].map((f) => `src/${f}/`);
const HOST =
  /\b(Date\.now|new Date|performance\.|setTimeout|setInterval|setImmediate|requestAnimationFrame|queueMicrotask|process\.|globalThis|crypto\.)/;
/** A program that people start, not a part of the bench. */
const PROGRAMS = ['src/protocol/emit/main.ts'];

const STEPPING = ['src/plant/', 'src/sensing/', 'src/control/', 'src/units/elementary.ts'];
/** IEEE 754 or ECMAScript fixes every bit of these. */
const EXACT = ['abs', 'sqrt', 'min', 'max', 'floor', 'ceil', 'round', 'trunc', 'sign', 'fround', 'imul', 'PI'];
/** Files that only make and check parameters. */
const MAKING = ['src/plant/presets/', 'src/plant/params.ts', 'src/sensing/board.ts', 'src/control/settings.ts'];
/** Powers of two of whole numbers are exact in every engine that is known; the line makes a constant. */
const WHOLE_POWER = /2 \*\* (b|board)\.bits/;

/** Lines of a text that break a rule, with their number. A `// once:` on the line says that no step comes here. */
function lines(text: string, broken: (code: string) => boolean): string[] {
  const raw = text.split('\n');
  return withoutComments(text)
    .split('\n')
    .flatMap((code, k) => (broken(code) && !raw[k].includes('// once:') ? [`line ${k + 1}: ${raw[k].trim()}`] : []));
}

function inexact(code: string): boolean {
  for (const [, name] of code.matchAll(/\bMath\.(\w+)/g)) if (!EXACT.includes(name)) return true;
  // Math taken apart or indexed would hide the names; ** is a power.
  return /\bMath\b(?!\.)/.test(code) || (code.includes('**') && !WHOLE_POWER.test(code));
}

const ALL = sources('src', 'worker', 'components');
const complain = (paths: string[], broken: (code: string) => boolean): string[] =>
  paths.flatMap((path) => lines(read(path), broken).map((line) => `${path} ${line}`));

describe('source', () => {
  it('reads no clock and no host below the links', () => {
    const quiet = ALL.filter((path) => QUIET.some((folder) => path.startsWith(folder)) && !PROGRAMS.includes(path));
    expect(quiet.length).toBeGreaterThan(20);
    expect(complain([...quiet, 'src/signals.ts'], (code) => HOST.test(code))).toEqual([]);
  });

  it('draws no chance that no seed repeats', () => {
    expect(complain(ALL, (code) => /\bMath\.random|getRandomValues|randomUUID/.test(code))).toEqual([]);
  });

  it('calls only functions that every engine computes to the same bit where it steps', () => {
    const stepping = ALL.filter((path) => STEPPING.some((folder) => path.startsWith(folder)));
    const paths = stepping.filter((path) => !MAKING.some((made) => path.startsWith(made)));
    expect(paths.length).toBeGreaterThan(20);
    expect(complain(paths, inexact)).toEqual([]);
  });

  it('is checked by rules that do find what they look for', () => {
    for (const code of ['x = Math.sin(y);', 'const { exp } = Math;', 'y = x ** 0.5;', 'Math["pow"](2, x)']) {
      expect(lines(code, inexact), code).toHaveLength(1);
    }
    for (const code of ['x = Math.sqrt(y);', 'x = Math.tan(y); // once: at construction', '// Math.sin']) {
      expect(lines(code, inexact), code).toEqual([]);
    }
    expect(HOST.test('setTimeout(f, 1)')).toBe(true);
    expect(HOST.test('this.reset(timeout)')).toBe(false);
  });
});
