/**
 * Text of people inside XML and HTML. Both must survive every name: what XML 1.0 does not know as a character is left
 * out, what it reads as markup is written as an entity.
 *
 * Source  W3C, Extensible Markup Language (XML) 1.0, production 2, Char: tab, line feed, carriage return, U+0020 to
 *         U+D7FF, U+E000 to U+FFFD, U+10000 to U+10FFFF (from memory; two independent readers check it in tests/report).
 */
const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&apos;',
};
/** A reader turns these into spaces inside an attribute unless they are written as numbers. */
const SPACES: Readonly<Record<string, string>> = { '\t': '&#9;', '\n': '&#10;', '\r': '&#13;' };
/** They turn the direction of writing: a name that holds one can make "failed" read as something else. */
const TURNS = /[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/gu;

/** True for a code point that XML 1.0 allows in a document. */
export function isXmlChar(code: number): boolean {
  if (code < 0x20) return code === 0x9 || code === 0xa || code === 0xd;
  return code <= 0xd7ff || (code >= 0xe000 && code <= 0xfffd) || (code >= 0x10000 && code <= 0x10ffff);
}

/** Without what XML does not know, and without what turns the direction of writing. */
export function plainText(text: string): string {
  return [...text.replaceAll(TURNS, '')].filter((each) => isXmlChar(each.codePointAt(0) as number)).join('');
}

/** Text between tags of XML or HTML. */
export function escaped(text: string): string {
  return plainText(text).replaceAll(/[&<>"']/g, (each) => ENTITIES[each]);
}

/** Text of an attribute in double quotes. */
export function escapedAttribute(text: string): string {
  return escaped(text).replaceAll(/[\t\n\r]/g, (each) => SPACES[each]);
}
