/**
 * A recording as ASAM MDF 4.10: one data group, one channel group, one channel a signal, time as the master channel.
 * Stored values are SI and the same bits as in the recording; a linear conversion leads to the unit that a person reads.
 * A reading that does not exist is NaN. Until the counts are right the file calls itself unfinished, as the standard has it.
 */
import type { Damage } from '../blocks.ts';
import type { Column, Header, RunEnd } from '../header.ts';
import { widthOf } from '../layout.ts';
import type { Recording } from '../reader.ts';
import { type Batch, batches, type Selection, selected } from '../rows.ts';
import {
  block,
  comment,
  element,
  fields,
  HD_BYTES,
  HEADER_BYTES,
  ID_BYTES,
  idBlock,
  properties,
  text,
} from './mdf-blocks.ts';

/** Takes bytes one behind the other, and others in the place of some that it has. */
export interface MdfSink {
  write(bytes: Uint8Array): void;
  patch(at: number, bytes: Uint8Array): void;
}

const PROGRAM = 'phantom';
/** Kinds of channels and of their values, by their numbers in the standard. */
const VALUE = 0;
const MASTER = 2;
const SYNC_NONE = 0;
const SYNC_TIME = 1;
const UNSIGNED = 0;
const REAL = 4;
const LINEAR = 1;
/** Where the number of records lies in CG: behind six links and the record id. */
const CYCLES_AT = HEADER_BYTES + 6 * 8 + 8;
const LENGTH_AT = 8;

interface Channel {
  readonly id: string;
  /** Unit of the value that a person reads. */ readonly unit: string;
  readonly doc: string;
  readonly bytes: number;
  readonly type: number;
  readonly master?: true;
  /** Shown = offset + factor * stored. */ readonly linear?: { readonly offset: number; readonly factor: number };
}

/** Writes the file and returns its rows. Throws RangeError on a selection that cannot be. */
export async function exportMdf(
  recording: Recording,
  selection: Selection,
  sink: MdfSink,
  onDamage: (damage: Damage) => void,
): Promise<number> {
  const { header, end } = recording;
  const columns = selected(recording, selection);
  const channels = channelsOf(columns);
  const recordBytes = channels.reduce((sum, { bytes }) => sum + bytes, 0);
  const front = frontOf(channels, header, end, recordBytes);
  sink.write(front.bytes);
  let rows = 0;
  for await (const batch of batches(recording, selection, onDamage)) {
    sink.write(records(batch, columns, recordBytes, header.tick_s));
    rows += batch.rows;
  }
  sink.patch(front.dataAt + LENGTH_AT, fields(['u64', HEADER_BYTES + rows * recordBytes]));
  sink.patch(front.groupAt + CYCLES_AT, fields(['u64', rows]));
  sink.patch(0, idBlock(PROGRAM, true));
  return rows;
}

function channelsOf(columns: readonly Column[]): Channel[] {
  const time: Channel = {
    id: 'time',
    unit: 's',
    doc: 'virtual time since the run began',
    bytes: 8,
    type: REAL,
    master: true,
  };
  const tick: Channel = {
    id: 'tick',
    unit: '',
    doc: 'ticks since the run began; time is tick times a constant',
    bytes: 8,
    type: UNSIGNED,
  };
  return [
    time,
    tick,
    ...columns.map((column): Channel => {
      const { id, scale, doc, absent } = column;
      const plain = scale.factor === 1 && scale.offset === 0;
      return {
        id,
        unit: scale.unit,
        doc: absent === undefined ? doc : `${doc}; no reading: ${absent}`,
        bytes: widthOf(column),
        type: REAL,
        ...(plain ? {} : { linear: { offset: -scale.offset / scale.factor, factor: 1 / scale.factor } }),
      };
    }),
  ];
}

/** All blocks but the records: the header of DT is the last. */
function frontOf(
  channels: readonly Channel[],
  header: Header,
  end: RunEnd | undefined,
  recordBytes: number,
): { bytes: Uint8Array; groupAt: number; dataAt: number } {
  const parts: Uint8Array[] = [];
  let at = ID_BYTES + HD_BYTES;
  const put = (letters: string, links: readonly number[], data: Uint8Array): number => {
    const bytes = block(letters, links, data);
    const here = at;
    parts.push(bytes);
    at += bytes.length;
    return here;
  };
  const words = (plain: string): number => (plain === '' ? 0 : put('TX', [], text(plain)));

  let byte = recordBytes;
  let next = 0;
  // From the last to the first, so that each knows where the next one lies.
  for (const channel of channels.toReversed()) {
    byte -= channel.bytes;
    next = putChannel(channel, next, byte, put, words);
  }
  const groupAt = put(
    'CG',
    [0, next, words('signals of the bench'), 0, 0, words(rowText(header))],
    fields(['u64', 0], ['u64', 0], ['u16', 0], ['u16', 0], ['u32', 0], ['u32', recordBytes], ['u32', 0]),
  );
  const made_ns = BigInt(Date.parse(header.made) || 0) * 1_000_000n;
  const historyAt = put(
    'FH',
    [0, put('MD', [], comment('FHcomment', 'exported from a recording', toolOf(header)))],
    fields(['u64', made_ns], ['i16', 0], ['i16', 0], ['u8', 0], ['u8', 0], ['u8', 0], ['u8', 0]),
  );
  const commentAt = put('MD', [], comment('HDcomment', header.scenario.title, properties(factsOf(header, end))));
  const dataAt = at + 64;
  const groupsAt = put('DG', [0, groupAt, dataAt, 0], fields(['u64', 0]));
  const data = block('DT', [], new Uint8Array(0));
  const hd = block(
    'HD',
    [groupsAt, historyAt, 0, 0, 0, commentAt],
    fields(
      ['u64', made_ns],
      ['i16', 0],
      ['i16', 0],
      ['u8', 0],
      ['u8', 0],
      ['u8', 0],
      ['u8', 0],
      ['f64', 0],
      ['f64', 0],
    ),
  );
  return { bytes: joined([idBlock(PROGRAM, false), hd, ...parts, data]), groupAt, dataAt };
}

function putChannel(
  { id, unit, doc, bytes, type, master, linear }: Channel,
  next: number,
  byte: number,
  put: (letters: string, links: readonly number[], data: Uint8Array) => number,
  words: (plain: string) => number,
): number {
  const unitAt = words(unit);
  const conversion = linear
    ? put(
        'CC',
        [0, unitAt, 0, 0],
        fields(
          ['u8', LINEAR],
          ['u8', 0],
          ['u16', 0],
          ['u16', 0],
          ['u16', 2],
          ['f64', 0],
          ['f64', 0],
          ['f64', linear.offset],
          ['f64', linear.factor],
        ),
      )
    : 0;
  return put(
    'CN',
    [next, 0, words(id), 0, conversion, 0, unitAt, words(doc)],
    fields(
      ['u8', master ? MASTER : VALUE],
      ['u8', master ? SYNC_TIME : SYNC_NONE],
      ['u8', type],
      ['u8', 0],
      ['u32', byte],
      ['u32', 8 * bytes],
      ['u32', 0],
      ['u32', 0],
      ['u8', 0],
      ['u8', 0],
      ['u16', 0],
      ...Array.from({ length: 6 }, () => ['f64', 0] as const),
    ),
  );
}

function records(batch: Batch, columns: readonly Column[], recordBytes: number, tick_s: number): Uint8Array {
  const bytes = new Uint8Array(batch.rows * recordBytes);
  const view = new DataView(bytes.buffer);
  let at = 16;
  for (let k = 0; k < batch.rows; k++) {
    view.setFloat64(k * recordBytes, batch.ticks[k] * tick_s, true);
    view.setBigUint64(k * recordBytes + 8, BigInt(batch.ticks[k]), true);
  }
  columns.forEach((column, c) => {
    const values = batch.columns[c];
    const wide = widthOf(column) === 8;
    for (let k = 0; k < batch.rows; k++) {
      if (wide) view.setFloat64(k * recordBytes + at, values[k], true);
      else view.setFloat32(k * recordBytes + at, values[k], true);
    }
    at += widthOf(column);
  });
  return bytes;
}

const rowText = ({ every, tick_s }: Header): string =>
  every === 1 ? `a row every tick of ${tick_s} s` : `a row every ${every} ticks of ${tick_s} s`;

const toolOf = ({ versions }: Header): string =>
  element('tool_id', 'phantom-spindle') +
  element('tool_vendor', 'phantom-spindle') +
  element('tool_version', versions.program ?? '');

function factsOf(header: Header, end: RunEnd | undefined): Record<string, string> {
  const { drill, drillSha256, scenario, controller, board, firmware, coupling, seed, versions } = header;
  const facts = {
    drill,
    'drill sha256': drillSha256,
    scenario: scenario.file,
    'scenario sha256': scenario.sha256,
    controller,
    board,
    firmware,
    coupling,
    seed: String(seed),
    ...versions,
  };
  return end
    ? { ...facts, verdict: end.verdict, 'state hash': end.stateHash }
    : { ...facts, verdict: 'the recording was not ended' };
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
