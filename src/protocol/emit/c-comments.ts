/** Comments and constants of the C header, in lines that can be read beside code. */
import { wrapText } from './words.ts';

/** Longest line that is made here. */
const COLUMNS = 110;

/** A comment of one or more lines; a line break in the text stays one. */
export function comment(text: string, indent = ''): string[] {
  const lines = text.split('\n').flatMap((part) => wrapText(ascii(part), COLUMNS - indent.length - 6));
  const closed = lines.map((line, k) => `${indent}${k === 0 ? '/* ' : ' * '}${line}`);
  closed[closed.length - 1] += ' */';
  return closed;
}

/** Code with its comment behind it where that fits, else above. */
export function noted(code: string, text: string): string[] {
  const line = `${code} /* ${ascii(text).replaceAll('\n', ' ')} */`;
  if (line.length <= COLUMNS) return [line];
  return [...comment(text, /^ */.exec(code)![0]), code];
}

/** A constant with its meaning. */
export function define(name: string, value: string, doc: string): string[] {
  return noted(`#define PHANTOM_${name} ${value}`, doc);
}

export function hex(value: number, digits: number): string {
  return `0x${value.toString(16).toUpperCase().padStart(digits, '0')}u`;
}

/** Letters that every compiler and terminal takes. Throws RangeError for one that has no other form here. */
function ascii(text: string): string {
  const plain = text.replaceAll('·', ' ').replaceAll('²', '2').replaceAll('°', 'deg ');
  const odd = /[^\x20-\x7e\n]/.exec(plain);
  if (odd) throw new RangeError(`the C header has no form of '${odd[0]}', in: ${text}`);
  return plain;
}
