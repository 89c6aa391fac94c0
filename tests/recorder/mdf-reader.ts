/**
 * Reads MDF 4 files as far as the tests need it, from the layout alone: every field by its own offset, nothing shared with
 * the writer. Strict: a link that leads nowhere, a length that does not fit or a reserved byte that is not zero is refused.
 */
export interface MdfBlock {
  readonly at: number;
  readonly length: number;
  readonly links: readonly number[];
  /** Where its data begin in the file. */ readonly data: number;
}

export interface MdfChannel {
  readonly name: string;
  readonly unit: string;
  readonly comment: string;
  readonly kind: number;
  readonly sync: number;
  readonly type: number;
  readonly byte: number;
  readonly bits: number;
  /** Shown = offset + factor * stored; undefined where there is no conversion. */
  readonly linear: readonly [offset: number, factor: number] | undefined;
}

export interface MdfFile {
  readonly id: {
    readonly file: string;
    readonly version: string;
    readonly number: number;
    readonly unfinished: number;
  };
  readonly start_ns: bigint;
  readonly comment: string;
  readonly history: string;
  readonly group: string;
  readonly cycles: number;
  readonly recordBytes: number;
  readonly channels: readonly MdfChannel[];
  /** Stored value of a channel in a record. */ raw(channel: number, record: number): number;
  /** Every block that was visited, letters and place. */ readonly blocks: readonly string[];
  /** Bytes that belong to a block or to ID. */ readonly covered: number;
}

export function readMdf(bytes: Uint8Array): MdfFile {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const latin = (at: number, length: number) => String.fromCharCode(...bytes.subarray(at, at + length));
  const u64 = (at: number) => Number(view.getBigUint64(at, true));
  const blocks = new Map<number, { letters: string; length: number }>();

  const block = (at: number, letters: string, links: number, dataBytes?: number): MdfBlock => {
    const found = latin(at, 4);
    const length = u64(at + 8);
    if (found !== `##${letters}`) throw new Error(`at ${at}: '${found}', not ##${letters}`);
    if (at % 8 !== 0 || view.getUint32(at + 4, true) !== 0)
      throw new Error(`at ${at}: misplaced, or reserved bytes set`);
    if (u64(at + 16) !== links || at + length > bytes.length) throw new Error(`at ${at}: links or length do not fit`);
    if (dataBytes !== undefined && length !== 24 + 8 * links + dataBytes) throw new Error(`at ${at}: ${length} bytes`);
    blocks.set(at, { letters, length });
    return {
      at,
      length,
      links: Array.from({ length: links }, (_, k) => u64(at + 24 + 8 * k)),
      data: at + 24 + 8 * links,
    };
  };
  const words = (at: number, letters = 'TX'): string => {
    if (at === 0) return '';
    const { data, length } = block(at, letters, 0);
    const all = bytes.subarray(data, at + length);
    const end = all.indexOf(0);
    if (end < 0 || all.subarray(end).some((byte) => byte !== 0))
      throw new Error(`at ${at}: text does not end with zeros`);
    return new TextDecoder('utf-8', { fatal: true }).decode(all.subarray(0, end));
  };

  const hd = block(64, 'HD', 6, 32);
  const fh = block(hd.links[1], 'FH', 2, 16);
  const dg = block(hd.links[0], 'DG', 4, 8);
  const cg = block(dg.links[1], 'CG', 6, 32);
  const dt = block(dg.links[2], 'DT', 0);
  for (const [at, length] of [
    [cg.data + 20, 4],
    [cg.data + 28, 4],
    [dg.data, 8],
    [hd.data + 12, 4],
  ]) {
    if (bytes.subarray(at, at + length).some((byte) => byte !== 0)) throw new Error(`at ${at}: set, but must be zero`);
  }
  const channels: MdfChannel[] = [];
  for (let next = cg.links[1]; next !== 0; ) {
    const cn = block(next, 'CN', 8, 72);
    const [following, composition, name, source, conversion, data, unit, comment] = cn.links;
    if (composition !== 0 || source !== 0 || data !== 0 || bytes[cn.data + 3] !== 0)
      throw new Error(`at ${cn.at}: not plain`);
    channels.push({
      name: words(name),
      unit: words(unit),
      comment: words(comment),
      kind: bytes[cn.data],
      sync: bytes[cn.data + 1],
      type: bytes[cn.data + 2],
      byte: view.getUint32(cn.data + 4, true),
      bits: view.getUint32(cn.data + 8, true),
      linear: conversion === 0 ? undefined : linearOf(conversion),
    });
    next = following;
  }
  function linearOf(at: number): readonly [number, number] {
    const cc = block(at, 'CC', 4, 40);
    const [kind, parameters] = [bytes[cc.data], view.getUint16(cc.data + 6, true)];
    if (kind !== 1 || parameters !== 2 || view.getUint16(cc.data + 4, true) !== 0)
      throw new Error(`at ${at}: not linear`);
    words(cc.links[1]);
    return [view.getFloat64(cc.data + 24, true), view.getFloat64(cc.data + 32, true)];
  }
  const cycles = u64(cg.data + 8);
  const recordBytes = view.getUint32(cg.data + 24, true);
  if (dt.length !== 24 + cycles * recordBytes) throw new Error(`DT: ${dt.length} bytes for ${cycles} records`);
  const history = words(fh.links[1], 'MD');
  const comment = words(hd.links[5], 'MD');
  const group = words(cg.links[2]);
  words(cg.links[5]);
  return {
    id: {
      file: latin(0, 8),
      version: latin(8, 8),
      number: view.getUint16(28, true),
      unfinished: view.getUint32(60, true),
    },
    start_ns: view.getBigUint64(hd.data, true),
    comment,
    history,
    group,
    cycles,
    recordBytes,
    channels,
    raw(channel, record) {
      const { byte, bits, type } = channels[channel];
      const at = dt.data + record * recordBytes + byte;
      if (type === 0 && bits === 64) return u64(at);
      if (type === 4 && bits === 64) return view.getFloat64(at, true);
      if (type === 4 && bits === 32) return view.getFloat32(at, true);
      throw new Error(`channel ${channel}: type ${type} with ${bits} bits`);
    },
    blocks: [...blocks].map(([at, { letters }]) => `${letters}@${at}`),
    covered: 64 + [...blocks.values()].reduce((sum, { length }) => sum + length, 0),
  };
}
