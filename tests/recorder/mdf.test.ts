/**
 * ASAM MDF 4.10 from a recording of the real bench.
 *
 * What could not be checked: no reader of MDF 4 that others wrote was to be had here. The npm registry and Debian list
 * none, and the Python library asammdf could not be installed; so no other program has opened these files. They are read
 * back by the reader beside this file, which shares nothing with the writer: it takes every field from the offsets that
 * the tables of constants of asammdf and the documentation of mdf4-rs (docs.rs) give, as both were read. Whether those
 * tables are the standard, which is not public, is taken from them. The XML comments are read by fast-xml-parser; the
 * names of their elements are from memory and checked against nothing.
 */
import { XMLParser, XMLValidator } from 'fast-xml-parser';
import { describe, expect, it } from 'vitest';
import { exportMdf } from '../../src/recorder/exports/mdf.ts';
import { openRecording } from '../../src/recorder/reader.ts';
import type { Selection } from '../../src/recorder/rows.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { toDisplay } from '../../src/units/convert.ts';
import { expectNear } from '../support/near.ts';
import { hexOf } from './hex.ts';
import { readMdf } from './mdf-reader.ts';
import { Memory, RUN, recordPress, sourceOf } from './rig.ts';

const PRESS = recordPress(300);
const RECORDING = await openRecording(sourceOf(PRESS.bytes));

async function mdfOf(selection: Selection = {}, recording = RECORDING): Promise<Uint8Array> {
  const memory = new Memory();
  await exportMdf(recording, selection, memory, () => undefined);
  return memory.bytes();
}

const BYTES = await mdfOf();
const FILE = readMdf(BYTES);

describe('MDF of a recording', () => {
  it('has its blocks where the layout wants them, with no byte between them that belongs to none', () => {
    expect(FILE.id).toEqual({ file: 'MDF     ', version: '4.10    ', number: 410, unfinished: 0 });
    expect(FILE.covered).toBe(BYTES.length);
    const letters = FILE.blocks.map((name) => name.slice(0, 2));
    for (const once of ['HD', 'FH', 'DG', 'CG', 'DT']) expect(letters.filter((each) => each === once)).toHaveLength(1);
    expect(letters.filter((each) => each === 'CN')).toHaveLength(PRESS.columns.length + 2);
    expect(FILE.recordBytes).toBe(
      16 + PRESS.columns.reduce((sum, { storage }) => sum + (storage === 'float64' ? 8 : 4), 0),
    );
  });

  it('has time as its master, then the tick, then every signal with its unit and meaning', () => {
    const [time, tick, ...rest] = FILE.channels;
    // Kind 2 is a master, synchronization 1 is time, type 4 a little-endian real number, type 0 an unsigned one.
    expect(time).toMatchObject({
      name: 'time',
      unit: 's',
      kind: 2,
      sync: 1,
      type: 4,
      byte: 0,
      bits: 64,
      linear: undefined,
    });
    expect(tick).toMatchObject({ name: 'tick', unit: '', kind: 0, sync: 0, type: 0, byte: 8, bits: 64 });
    expect(
      rest.map(({ name, unit, comment, kind, sync, type, bits }) => ({ name, unit, comment, kind, sync, type, bits })),
    ).toEqual(
      PRESS.columns.map(({ id, scale, doc, storage }) => ({
        name: id,
        unit: scale.unit,
        comment: doc,
        kind: 0,
        sync: 0,
        type: 4,
        bits: storage === 'float64' ? 64 : 32,
      })),
    );
  });

  it('holds the bits of every value of the recording', () => {
    expect(FILE.cycles).toBe(300);
    PRESS.samples.forEach((sample, record) => {
      expect(hexOf(FILE.raw(0, record))).toBe(hexOf(sample[SIGNAL_INDEX.time]));
      expect(FILE.raw(1, record)).toBe(PRESS.ticks[record]);
      PRESS.columns.forEach(({ id, storage }, c) => {
        const value = sample[SIGNAL_INDEX[id as SignalId]];
        expect(hexOf(FILE.raw(c + 2, record)), id).toBe(hexOf(storage === 'float64' ? value : Math.fround(value)));
      });
    });
  });

  it('converts what is stored in SI to the unit that it names', () => {
    PRESS.columns.forEach(({ id, scale }, c) => {
      const { linear } = FILE.channels[c + 2];
      expect(linear === undefined, id).toBe(scale.factor === 1 && scale.offset === 0);
      const [offset, factor] = linear ?? [0, 1];
      for (let record = 0; record < 300; record += 37) {
        const raw = FILE.raw(c + 2, record);
        if (Number.isNaN(raw)) continue;
        const due = toDisplay(raw, scale.unit);
        const because = 'offset and factor are rounded once each, product and sum again: a few units in the last place';
        const size = Math.max(Math.abs(due), Math.abs(offset), Math.abs(factor * raw));
        expectNear(offset + factor * raw, due, { abs: 4 * 2 ** -52 * size, because });
      }
    });
    const legHeat = FILE.channels.find(({ name }) => name === 'legHeatA');
    expect(legHeat).toMatchObject({ unit: '°C', linear: [-273.15, 1] });
  });

  it('says when, by what and of which run, in XML that another parser takes', () => {
    expect(FILE.start_ns).toBe(BigInt(Date.parse(RUN.made)) * 1_000_000n);
    const parser = new XMLParser({ ignoreAttributes: false });
    for (const xml of [FILE.comment, FILE.history]) expect(XMLValidator.validate(xml)).toBe(true);
    const { HDcomment } = parser.parse(FILE.comment);
    expect(HDcomment.TX).toBe(RUN.scenario.title);
    const facts = Object.fromEntries(
      HDcomment.common_properties.e.map((each: Record<string, unknown>) => [each['@_name'], String(each['#text'])]),
    );
    expect(facts).toMatchObject({ drill: 'bench-18', coupling: 'in-process', seed: '11', verdict: 'passed' });
    expect(parser.parse(FILE.history).FHcomment).toMatchObject({ tool_id: 'phantom-spindle' });
  });

  it('takes a selection, and a recording without rows', async () => {
    const some = readMdf(await mdfOf({ signals: ['hall', 'charge'], from_s: 0.01, every: 2 }));
    expect(some.channels.map(({ name }) => name)).toEqual(['time', 'tick', 'hall', 'charge']);
    expect(some.cycles).toBe(51);
    expect(some.raw(1, 0)).toBe(200);
    const empty = readMdf(await mdfOf({}, await openRecording(sourceOf(recordPress(0).bytes))));
    expect(empty.cycles).toBe(0);
  });

  it('calls itself unfinished until its counts are right', async () => {
    const written: Uint8Array[] = [];
    await exportMdf(
      RECORDING,
      {},
      { write: (part) => written.push(part.slice()), patch: () => undefined },
      () => undefined,
    );
    const view = new DataView(written[0].buffer);
    expect(String.fromCharCode(...written[0].subarray(0, 8))).toBe('UnFinMF ');
    // Bit 0: the cycles of the channel group; bit 2: the length of the last DT.
    expect(view.getUint16(60, true)).toBe(0b101);
  });
});
