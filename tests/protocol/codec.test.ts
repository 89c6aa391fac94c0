import { describe, expect, it } from 'vitest';
import {
  blankDrive,
  blankSense,
  decodeDrive,
  decodeNote,
  decodeSense,
  encodeDrive,
  encodeNote,
  encodeSense,
} from '../../src/protocol/codec.ts';
import { codecOf } from '../../src/protocol/codec-of.ts';
import { f32s, frame, pad, u8 } from '../../src/protocol/dsl.ts';
import { DRIVE, FRAMES, HELLO_ID, PAYLOAD_MOST, SENSE } from '../../src/protocol/frames.ts';
import { hex, unhex } from '../support/hex.ts';
import { DRIVE_HEX, DRIVE_SAMPLE, SAMPLES, SENSE_HEX, SENSE_SAMPLE } from './samples.ts';

describe('frame codec', () => {
  it('writes a Sense as its declaration says', () => {
    const bytes = new Uint8Array(SENSE.bytes);
    expect(encodeSense(SENSE_SAMPLE, bytes)).toBe(32);
    expect(hex(bytes)).toBe(SENSE_HEX);
  });

  it('reads back every field of a Sense', () => {
    const sense = blankSense();
    expect(decodeSense(unhex(SENSE_HEX), sense)).toBe('ok');
    expect(sense).toEqual(SENSE_SAMPLE);
  });

  it('writes and reads a Drive with its watch values', () => {
    const bytes = new Uint8Array(24);
    expect(encodeDrive(DRIVE_SAMPLE, bytes)).toBe(24);
    expect(hex(bytes)).toBe(DRIVE_HEX);
    const drive = blankDrive(2);
    expect(decodeDrive(bytes, drive)).toBe('ok');
    expect(drive).toEqual(DRIVE_SAMPLE);
  });

  it.each(SAMPLES)('writes and reads a $frame.name as worked out by hand', ({ frame, values, hex: byHand }) => {
    const codec = codecOf(frame);
    const bytes = new Uint8Array(PAYLOAD_MOST);
    const length = codec.encode(values, bytes);
    expect(hex(bytes.subarray(0, length))).toBe(hex(unhex(byHand)));
    const blanks = Object.entries<unknown>(values).map(([name, value]) => {
      if (value instanceof Float32Array) return [name, new Float32Array(value.length)];
      return [name, typeof value === 'string' ? '' : 0];
    });
    const back = Object.fromEntries(blanks);
    expect(codec.decode(unhex(byHand), back)).toBe('ok');
    expect(back).toEqual(values);
  });

  it('has a sample of every frame', () => {
    const sampled = [SENSE, DRIVE, ...SAMPLES.map((each) => each.frame)];
    expect(new Set(sampled)).toEqual(new Set(FRAMES));
  });

  it('cuts a text that is too long between two characters', () => {
    const bytes = new Uint8Array(PAYLOAD_MOST);
    const text = `${'a'.repeat(199)}\u00b0`; // 201 bytes in UTF-8
    expect(encodeNote({ level: 0, text }, bytes)).toBe(200);
    const note = { level: 9, text: '' };
    expect(decodeNote(bytes, note, 0, 200)).toBe('ok');
    expect(note).toEqual({ level: 0, text: 'a'.repeat(199) });
  });

  it('reads a text that is no UTF-8, and one that begins with a mark of byte order', () => {
    const note = { level: 9, text: '' };
    expect(decodeNote(unhex('00 ff 41'), note)).toBe('ok');
    expect(note.text).toBe('\ufffdA');
    expect(decodeNote(unhex('00 ef bb bf 41'), note)).toBe('ok');
    expect(note.text).toBe('\ufeffA');
  });

  it('works at any place of a larger buffer and leaves the rest alone', () => {
    const bytes = new Uint8Array(44).fill(0xee);
    expect(encodeSense(SENSE_SAMPLE, bytes, 5)).toBe(32);
    expect(hex(bytes.subarray(0, 5))).toBe('ee ee ee ee ee');
    expect(hex(bytes.subarray(5, 37))).toBe(SENSE_HEX);
    expect(hex(bytes.subarray(37))).toBe('ee ee ee ee ee ee ee');
    const sense = blankSense();
    expect(decodeSense(bytes, sense, 5, 32)).toBe('ok');
    expect(sense).toEqual(SENSE_SAMPLE);
  });

  it('refuses a shorter frame and then leaves the values as they were', () => {
    for (const length of [0, 1, 31]) {
      const sense = blankSense();
      expect(decodeSense(new Uint8Array(length).fill(1), sense)).toBe('wrong length');
      expect(sense).toEqual(blankSense());
    }
    expect(decodeDrive(unhex(DRIVE_HEX), blankDrive(3))).toBe('wrong length');
  });

  it('reads the part it knows of a longer frame, which a newer sender makes', () => {
    const sense = blankSense();
    expect(decodeSense(unhex(`${SENSE_HEX} 77 88`), sense)).toBe('ok');
    expect(sense).toEqual(SENSE_SAMPLE);
  });

  it('refuses a length beyond the end of the buffer', () => {
    expect(decodeSense(unhex(SENSE_HEX), blankSense(), 1, 32)).toBe('wrong length');
  });

  it('writes nothing where there is no room', () => {
    const bytes = new Uint8Array(31);
    expect(encodeSense(SENSE_SAMPLE, bytes)).toBe(0);
    expect(bytes.every((byte) => byte === 0)).toBe(true);
  });

  it('clamps what does not fit a field, wraps the tick, and makes NaN 0', () => {
    const bytes = new Uint8Array(SENSE.bytes);
    const odd = { ...blankSense(), tick: 2 ** 32 + 7, ia: -3, ib: 70_000, ic: Number.NaN, link: 2.9 };
    encodeSense(odd, bytes);
    const back = blankSense();
    decodeSense(bytes, back);
    expect(back).toMatchObject({ tick: 7, ia: 0, ib: 65_535, ic: 0, link: 2 });
  });

  it('gives every frame an id of its own', () => {
    const ids = [...FRAMES.map((each) => each.id), HELLO_ID];
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('refuses more watch values than a Drive carries, naming the limit', () => {
    expect(() => blankDrive(33)).toThrow('watchCount is 33; allowed is 0 to 32');
  });

  it('refuses declarations that no decoder could read', () => {
    const spec = { name: 'X', from: 'host', doc: '' } as const;
    expect(() => frame({ ...spec, id: 256, fields: { a: u8({ doc: '' }) } })).toThrow('id of frame X is 256');
    const fields = { list: f32s(2, { doc: '' }), after: pad(1) };
    expect(() => frame({ ...spec, id: 9, fields })).toThrow('X.list has no fixed length');
    const late = { a: u8({ doc: '', appended: true }), b: u8({ doc: '' }) };
    expect(() => frame({ ...spec, id: 9, fields: late })).toThrow('X.b stands behind an appended one');
    const list = { list: f32s(2, { doc: '', appended: true }) };
    expect(() => frame({ ...spec, id: 9, fields: list })).toThrow('X.list has no fixed length and cannot be appended');
  });

  it('makes no frame longer than receivers take', () => {
    expect(Math.max(...FRAMES.map((each) => each.mostBytes))).toBe(PAYLOAD_MOST);
  });
});
