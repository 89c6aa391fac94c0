/**
 * Reads an XML file back that was just written: is it well-formed, and which elements are in it? Knows what this program
 * writes (a declaration, elements, attributes, text, five entities and numbered characters) and refuses all else.
 */
import { isXmlChar } from './escape.ts';

export type XmlRead =
  | { readonly ok: true; readonly counts: Readonly<Record<string, number>> }
  | { readonly ok: false; readonly line: number; readonly why: string };

const DECLARATION = /^<\?xml version="1\.0" encoding="UTF-8"\?>\s*/;
const NAME = '[A-Za-z_][A-Za-z0-9_.-]*';
const OPEN = new RegExp(`^<(${NAME})((?:\\s+${NAME}="[^"<]*")*)\\s*(/?)>`);
const CLOSE = new RegExp(`^</(${NAME})\\s*>`);
const ATTRIBUTE = new RegExp(`(${NAME})="([^"]*)"`, 'g');
const ENTITY = /^&(?:amp|lt|gt|quot|apos|#(\d{1,7})|#x([0-9a-fA-F]{1,6}));/;

/** Never throws. */
export function readXml(text: string): XmlRead {
  const counts: Record<string, number> = {};
  const open: string[] = [];
  let at = 0;
  let roots = 0;
  const no = (why: string, where = at): XmlRead => ({ ok: false, line: text.slice(0, where).split('\n').length, why });

  for (let k = 0; k < text.length; k++) {
    const code = text.codePointAt(k) as number;
    if (!isXmlChar(code))
      return no(`U+${code.toString(16).toUpperCase().padStart(4, '0')} is not allowed in XML 1.0`, k);
    if (code > 0xffff) k++;
  }
  at = DECLARATION.exec(text)?.[0].length ?? 0;
  if (at === 0) return no('the declaration is missing');
  while (at < text.length) {
    if (text[at] !== '<') {
      const end = text.indexOf('<', at);
      const part = text.slice(at, end < 0 ? text.length : end);
      if (open.length === 0 && part.trim() !== '') return no('text stands outside of the root');
      const wrong = contentTrouble(part);
      if (wrong !== '') return no(wrong);
      at += part.length;
      continue;
    }
    const rest = tagAt(text, at);
    const closing = CLOSE.exec(rest);
    if (closing) {
      const name = open.pop();
      if (name !== closing[1]) return no(`</${closing[1]}> closes ${name === undefined ? 'nothing' : `<${name}>`}`);
      at += closing[0].length;
      continue;
    }
    const opening = OPEN.exec(rest);
    if (!opening) return no('this is no tag');
    const [all, name, inside, empty] = opening;
    if (open.length === 0 && ++roots > 1) return no(`<${name}> is a second root`);
    const seen = new Set<string>();
    for (const [, key, value] of inside.matchAll(ATTRIBUTE)) {
      if (seen.has(key)) return no(`<${name}> has ${key} twice`);
      seen.add(key);
      const wrong = contentTrouble(value);
      if (wrong !== '') return no(wrong);
    }
    counts[name] = (counts[name] ?? 0) + 1;
    if (empty === '') open.push(name);
    at += all.length;
  }
  if (open.length > 0) return no(`<${open[open.length - 1]}> is not closed`);
  return roots === 1 ? { ok: true, counts } : no('there is no root');
}

/** From here to the end of the tag: a pattern over the whole rest of a large file would be slow. */
function tagAt(text: string, at: number): string {
  const end = text.indexOf('>', at);
  return text.slice(at, end < 0 ? text.length : end + 1);
}

function contentTrouble(part: string): string {
  if (part.includes(']]>')) return "']]>' stands in text";
  for (let k = part.indexOf('&'); k >= 0; k = part.indexOf('&', k + 1)) {
    const entity = ENTITY.exec(part.slice(k, k + 12));
    if (!entity) return `'${part.slice(k, k + 12)}' is no entity`;
    const code = entity[1] ? Number(entity[1]) : entity[2] ? Number.parseInt(entity[2], 16) : 0x20;
    if (!isXmlChar(code)) return `${entity[0]} is not allowed in XML 1.0`;
  }
  return '';
}
