/** The frames of every tick in straight lines do what their declarations say, and are those that the declarations give now. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  blankDrive,
  blankSense,
  decodeDrive,
  decodeSense,
  encodeDrive,
  encodeSense,
} from '../../src/protocol/codec.ts';
import { codecOf } from '../../src/protocol/codec-of.ts';
import { frame, u16, u32 } from '../../src/protocol/dsl.ts';
import { tickCodecs } from '../../src/protocol/emit/tick-codecs.ts';
import { DRIVE, type Drive, SENSE, type Sense } from '../../src/protocol/frames.ts';
import { hex } from '../support/hex.ts';
import { seededBytes, seededInt } from '../support/seeded.ts';

const draw = seededInt(12);
const ODD = [Number.NaN, -1, -0.5, 0.999, 255.5, 65_535.9, 70_000, 2 ** 32 + 3, Number.POSITIVE_INFINITY];
const odd = (): number => (draw(3) === 0 ? ODD[draw(ODD.length)] : draw(0x10000));

/** Every number of a frame drawn anew, in range and beyond. */
function drawn<T extends object>(values: T): T {
  const to = values as Record<string, unknown>;
  for (const [key, value] of Object.entries(to)) if (typeof value === 'number') to[key] = odd();
  return values;
}

describe('frames of every tick', () => {
  it('are written as the declarations give them now', () => {
    const path = new URL('../../src/protocol/tick-codecs.ts', import.meta.url);
    expect(readFileSync(path, 'utf8')).toBe(tickCodecs());
  });

  it('write what the declarations say, also of numbers that fit no field, at any place and without room', () => {
    const sense = codecOf(SENSE);
    const drive = codecOf(DRIVE);
    for (let k = 0; k < 3000; k++) {
      const [ours, theirs] = [seededBytes(k, 200), seededBytes(k, 200)];
      const at = draw(200);
      const s: Sense = drawn(blankSense());
      expect(encodeSense(s, ours, at)).toBe(sense.encode(s, theirs, at));
      const d: Drive = drawn(blankDrive(draw(33)));
      for (let j = 0; j < d.watch.length; j++) d.watch[j] = odd();
      expect(encodeDrive(d, ours, at)).toBe(drive.encode(d, theirs, at));
      expect(hex(ours)).toBe(hex(theirs));
    }
  });

  it('read what the declarations say, and refuse the same lengths', () => {
    const sense = codecOf(SENSE);
    const drive = codecOf(DRIVE);
    for (let k = 0; k < 3000; k++) {
      const bytes = seededBytes(k, 200);
      const at = draw(60);
      const length = draw(4) === 0 ? draw(220) : undefined;
      const [s, asDeclared] = [blankSense(), blankSense()];
      expect(decodeSense(bytes, s, at, length)).toBe(sense.decode(bytes, asDeclared, at, length));
      expect(s).toEqual(asDeclared);
      const watches = draw(33);
      const long = draw(3) > 0 ? DRIVE.bytes + 4 * watches : length;
      const [d, alike] = [blankDrive(watches), blankDrive(watches)];
      expect(decodeDrive(bytes, d, at, long)).toBe(drive.decode(bytes, alike, at, long));
      expect(d).toEqual(alike);
    }
  });

  it('read an appended field that an older sender left out as 0', () => {
    const doc = '';
    const grown = frame({
      name: 'Grown',
      id: 0x70,
      from: 'host',
      doc,
      fields: { tick: u32({ doc }), load: u16({ doc, appended: true }) },
    });
    const text = tickCodecs([grown]);
    expect(text).toContain("if (length < 4 || at + length > bytes.length) return 'wrong length';");
    expect(text).toContain('to.load = length < 6 ? 0 : takeU16(bytes, at + 4);');
  });
});
