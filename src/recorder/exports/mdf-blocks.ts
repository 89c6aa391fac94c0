/**
 * Blocks of ASAM MDF 4.10, as far as an export needs them: links before data, everything little-endian, each block at a
 * multiple of eight.
 *
 * Source  The standard itself is sold, not published. Names, order and sizes of the fields were read in two public
 *         descriptions that agree: the tables of constants of the Python library asammdf (asammdf/blocks/v4_constants.py:
 *         block sizes ID 64, HD 104, FH 56, DG 64, CG 104, CN 160, CC 96 with two parameters, and the formats behind
 *         them) and the documentation of the Rust library mdf4-rs on docs.rs (structs HeaderBlock, DataGroupBlock,
 *         ChannelGroupBlock, ChannelBlock, and the list of block sizes). From memory: that a comment of HD and FH is XML
 *         with the roots HDcomment and FHcomment, that the linear conversion is P1 + P2 times the stored value, and that
 *         a file begins with `UnFinMF ` until its counts are right.
 */
export const ID_BYTES = 64;
export const HD_BYTES = 104;
/** Letters, a reserved u32, length u64, links u64. */
export const HEADER_BYTES = 24;

/** Counts that an unfinished file still has wrong: cycles of a channel group (bit 0), length of the last DT (bit 2). */
const UNFINISHED = 0b101;
const XML_SPACE = 'http://www.asam.net/mdf/v4';

/** A field: its type, unsigned, signed or float with its bits, and its value. */
type Field = readonly ['u8' | 'u16' | 'i16' | 'u32' | 'u64' | 'f64', number | bigint];
const WIDTH = { u8: 1, u16: 2, i16: 2, u32: 4, u64: 8, f64: 8 } as const;

/** First block of a file. @param program eight characters at most */
export function idBlock(program: string, finished: boolean): Uint8Array {
  const bytes = new Uint8Array(ID_BYTES);
  const view = new DataView(bytes.buffer);
  const put = (text: string, at: number) => bytes.set(new TextEncoder().encode(text.padEnd(8).slice(0, 8)), at);
  put(finished ? 'MDF' : 'UnFinMF', 0);
  put('4.10', 8);
  put(program, 16);
  view.setUint16(28, 410, true);
  view.setUint16(60, finished ? 0 : UNFINISHED, true);
  return bytes;
}

/** A block with its header, filled up to a multiple of eight; what fills it up counts to its length. */
export function block(letters: string, links: readonly number[], data: Uint8Array): Uint8Array {
  const dataAt = HEADER_BYTES + 8 * links.length;
  const bytes = new Uint8Array((dataAt + data.length + 7) & ~7);
  const view = new DataView(bytes.buffer);
  bytes.set(new TextEncoder().encode(`##${letters}`));
  view.setBigUint64(8, BigInt(bytes.length), true);
  view.setBigUint64(16, BigInt(links.length), true);
  for (let k = 0; k < links.length; k++) view.setBigUint64(HEADER_BYTES + 8 * k, BigInt(links[k]), true);
  bytes.set(data, dataAt);
  return bytes;
}

export function fields(...list: readonly Field[]): Uint8Array {
  const bytes = new Uint8Array(list.reduce((sum, [type]) => sum + WIDTH[type], 0));
  const view = new DataView(bytes.buffer);
  let at = 0;
  for (const [type, value] of list) {
    if (type === 'u8') view.setUint8(at, Number(value));
    else if (type === 'u16') view.setUint16(at, Number(value), true);
    else if (type === 'i16') view.setInt16(at, Number(value), true);
    else if (type === 'u32') view.setUint32(at, Number(value), true);
    else if (type === 'u64') view.setBigUint64(at, BigInt(value), true);
    else view.setFloat64(at, Number(value), true);
    at += WIDTH[type];
  }
  return bytes;
}

/** Text of TX and MD: UTF-8 that ends with a zero. */
export const text = (plain: string): Uint8Array => new TextEncoder().encode(`${plain}\0`);

/** Comment of HD or FH: a text, and what the standard or `common_properties` names. */
export function comment(root: 'HDcomment' | 'FHcomment', plain: string, inner: string): Uint8Array {
  return text(`<${root} xmlns="${XML_SPACE}"><TX>${escaped(plain)}</TX>${inner}</${root}>`);
}

export const element = (name: string, content: string): string => `<${name}>${escaped(content)}</${name}>`;

export function properties(values: Readonly<Record<string, string>>): string {
  const all = Object.entries(values).map(([name, value]) => `<e name="${escaped(name)}">${escaped(value)}</e>`);
  return `<common_properties>${all.join('')}</common_properties>`;
}

/** As XML takes it: characters that XML 1.0 has no way to write become a replacement character. */
function escaped(plain: string): string {
  return plain
    .replace(/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu, '\ufffd')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}
