/**
 * What was released keeps its meaning. released.json is what boards in the field were built for; every mutation below is a
 * change that one of them would misread, and every addition one that it would not.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { codecOf } from '../../src/protocol/codec-of.ts';
import { type Fields, type Frame, f32, frame, pad, u8, u16 } from '../../src/protocol/dsl.ts';
import { brokenPromises, retiredIds } from '../../src/protocol/emit/changes.ts';
import { currentRelease, type Release } from '../../src/protocol/emit/release.ts';
import { BEAT, BYE, DRIVE, FRAMES, POWER, PROTOCOL_VERSION, SENSE, WELCOME } from '../../src/protocol/frames.ts';
import { HELLO_SCHEMA } from '../../src/protocol/hello.ts';
import { unhex } from '../support/hex.ts';

const released: Release = JSON.parse(readFileSync(new URL('./released.json', import.meta.url), 'utf8'));

/** All frames, with one of them made anew. */
function withFrame(was: Frame, change: { id?: number; name?: string; from?: Frame['from']; fields?: Fields }): Frame[] {
  const { name, id, from, doc, fields } = was;
  return FRAMES.map((each) => (each === was ? frame({ name, id, from, doc, fields, ...change }) : each));
}

/** The fields with one of them changed, replaced by others, or left out. */
function withField(of: Frame, name: string, by: object): Fields {
  return { ...of.fields, [name]: { ...of.fields[name], ...by } } as Fields;
}
function renamed(of: Frame, was: string, is: string): Fields {
  return Object.fromEntries(Object.entries(of.fields).map(([name, field]) => [name === was ? is : name, field]));
}
function inPlaceOf(of: Frame, was: string, by: Fields): Fields {
  const fields = Object.entries(of.fields).flatMap(([name, field]) =>
    name === was ? Object.entries(by) : [[name, field] as const],
  );
  return Object.fromEntries(fields);
}
function withKey(key: string, by: object) {
  const { properties, required } = HELLO_SCHEMA;
  return { properties: { ...properties, [key]: { ...properties[key as keyof typeof properties], ...by } }, required };
}

const doc = 'of a later release';
const { tick, gates, state, trip, reserved, ...duties } = DRIVE.fields;
const brokenFrames: readonly (readonly [string, Frame[], string])[] = [
  ['a field gone', withFrame(SENSE, { fields: inPlaceOf(SENSE, 'ic', {}) }), 'Sense.ic is gone'],
  [
    'a field moved',
    withFrame(DRIVE, { fields: { tick, state, gates, trip, reserved, ...duties } }),
    'Drive.gates: offset was 4, is 5',
  ],
  [
    'a field put in front',
    withFrame(BEAT, { fields: { first: u8({ doc }), ...BEAT.fields } }),
    'Beat.number: offset was 0, is 1',
  ],
  [
    'a field put between',
    withFrame(BYE, { fields: inPlaceOf(BYE, 'reserved', { more: u8({ doc }), reserved: pad(3) }) }),
    'Bye: leastBytes was 4, is 5',
  ],
  [
    'a field retyped',
    withFrame(SENSE, { fields: withField(SENSE, 'ia', { kind: 'f32', size: 4 }) }),
    'Sense.ia: kind was u16, is f32',
  ],
  [
    'a field rescaled',
    withFrame(SENSE, { fields: withField(SENSE, 'hallAge', { scale: 1e-7 }) }),
    'Sense.hallAge: scale was 1e-8, is 1e-7',
  ],
  [
    'a formula changed',
    withFrame(SENSE, { fields: withField(SENSE, 'link', { scale: 'count / 4' }) }),
    'Sense.link: scale was count * Hello.linkPerCount_V',
  ],
  [
    'another unit',
    withFrame(WELCOME, { fields: withField(WELCOME, 'tick', { unit: 'ms' }) }),
    'Welcome.tick: unit was s, is ms',
  ],
  ['a field renamed', withFrame(SENSE, { fields: renamed(SENSE, 'trigger', 'switch') }), 'Sense.trigger is gone'],
  [
    'two fields exchanged',
    withFrame(SENSE, {
      fields: renamed(
        { ...SENSE, fields: renamed({ ...SENSE, fields: renamed(SENSE, 'ia', 'x') }, 'ib', 'ia') },
        'x',
        'ib',
      ),
    }),
    'Sense.ia: offset was 6, is 8',
  ],
  [
    'bits exchanged',
    withFrame(DRIVE, { fields: withField(DRIVE, 'gates', { bits: [...gates.bits!].reverse() }) }),
    'Drive.gates: bit 0 was GATE_A, is GATE_C',
  ],
  [
    'a bit gone',
    withFrame(DRIVE, { fields: withField(DRIVE, 'gates', { bits: gates.bits!.slice(0, 2) }) }),
    'Drive.gates: bit 2 was GATE_C, is gone',
  ],
  [
    'a code renumbered',
    withFrame(DRIVE, {
      fields: withField(DRIVE, 'trip', { codes: trip.codes!.map((c) => ({ ...c, value: c.value + 1 })) }),
    }),
    'Drive.trip: TRIP_CURRENT was 1, is 2',
  ],
  [
    'a code gone',
    withFrame(DRIVE, { fields: withField(DRIVE, 'state', { codes: state.codes!.slice(1) }) }),
    'Drive.state: STATE_STARTING was 0, is gone',
  ],
  [
    'a code for a number in use',
    withFrame(BYE, {
      fields: withField(BYE, 'reason', { codes: [...BYE.fields.reason.codes!, { name: 'BYE_NEW', value: 2, doc }] }),
    }),
    'Bye.reason: code 2 is used twice',
  ],
  ['a frame renumbered', withFrame(POWER, { id: 0x12 }), 'Power, id 17, is gone'],
  ['a frame renamed', withFrame(POWER, { name: 'Supply' }), 'Power: name was Power, is Supply'],
  ['a frame turned round', withFrame(POWER, { from: 'board' }), 'Power: from was host, is board'],
  ['a frame gone', FRAMES.filter((each) => each !== BEAT), 'Beat, id 5, is gone'],
  [
    'an id twice',
    [...FRAMES, frame({ name: 'New', id: BEAT.id, from: 'board', doc, fields: {} })],
    'id 5 is used twice',
  ],
  [
    'a longer list',
    withFrame(DRIVE, { fields: withField(DRIVE, 'watch', { most: 40 }) }),
    'Drive.watch: most was 32, is 40',
  ],
  [
    'a field added and not said to be',
    withFrame(BEAT, { fields: { ...BEAT.fields, load: u8({ doc }) } }),
    'Beat.load is new and is not marked appended',
  ],
];

const brokenKeys: readonly (readonly [string, object, string])[] = [
  [
    'a key gone',
    { ...HELLO_SCHEMA, properties: Object.fromEntries(Object.entries(HELLO_SCHEMA.properties).slice(1)) },
    'Hello.version is gone',
  ],
  ['a key retyped', withKey('halls', { type: 'integer' }), 'Hello.halls: type was boolean, is integer'],
  ['a key in another unit', withKey('pwm_Hz', { unit: 'kHz' }), 'Hello.pwm_Hz: unit was Hz, is kHz'],
  ['a limit narrowed', withKey('pwm_Hz', { maximum: 100_000 }), 'Hello.pwm_Hz: maximum was 200000, is 100000'],
  ['a limit that was not there', withKey('halls', { maximum: 1 }), 'Hello.halls: maximum was not there, is 1'],
  ['a choice taken away', withKey('shunts', { enum: ['abc', 'ab'] }), 'Hello.shunts: enum was abc,ab,bc,ac, is abc,ab'],
  [
    'an optional key demanded',
    { ...HELLO_SCHEMA, required: [...HELLO_SCHEMA.required, 'credits'] },
    'Hello.credits: required was false, is true',
  ],
  [
    'a new key demanded',
    { ...withKey('bus', { type: 'boolean' }), required: [...HELLO_SCHEMA.required, 'bus'] },
    'Hello.bus is new and not optional',
  ],
];

const allowedFrames: readonly (readonly [string, Frame[]])[] = [
  ['a frame', [...FRAMES, frame({ name: 'New', id: 0x55, from: 'board', doc, fields: {} })]],
  [
    'a field behind the last one',
    withFrame(BEAT, { fields: { ...BEAT.fields, load: u16({ doc, unit: 'share', scale: 1e-4, appended: true }) } }),
  ],
  [
    'a field in reserved bytes',
    withFrame(BYE, { fields: inPlaceOf(BYE, 'reserved', { ...{ first: pad(1) }, wait: u8({ doc }), last: pad(1) }) }),
  ],
  [
    'a bit',
    withFrame(POWER, {
      fields: withField(POWER, 'levels', { bits: [...POWER.fields.levels.bits!, { name: 'POWER_LOW', doc }] }),
    }),
  ],
  [
    'a code',
    withFrame(BYE, {
      fields: withField(BYE, 'reason', { codes: [...BYE.fields.reason.codes!, { name: 'BYE_NEW', value: 3, doc }] }),
    }),
  ],
  ['another wording', withFrame(SENSE, { fields: withField(SENSE, 'ia', { doc }) })],
];

const allowedKeys: readonly (readonly [string, object])[] = [
  ['an optional key', withKey('bus', { type: 'boolean' })],
  ['a wider limit', withKey('pwm_Hz', { minimum: 500, maximum: 400_000 })],
  ['a limit lifted', withKey('credits', { maximum: undefined })],
  ['one choice more', withKey('shunts', { enum: ['abc', 'ab', 'bc', 'ac', 'dc'] })],
];

describe('a release', () => {
  it('is kept by what is declared now', () => {
    expect(released.version, 'PROTOCOL_VERSION was raised: run npm run protocol -- --release').toBe(PROTOCOL_VERSION);
    expect(brokenPromises(released, currentRelease())).toEqual([]);
  });

  it('holds every frame and key', () => {
    expect(released.frames.map((each) => each.name)).toEqual(
      expect.arrayContaining(['Sense', 'Drive', 'Scene', 'Bye']),
    );
    expect(released.frames).toHaveLength(11);
    expect(Object.keys(released.hello.keys)).toHaveLength(Object.keys(HELLO_SCHEMA.properties).length);
    expect(released.frames.find((each) => each.name === 'Sense')!.fields.find((each) => each.name === 'link')).toEqual({
      name: 'link',
      kind: 'u16',
      offset: 12,
      size: 2,
      most: 1,
      unit: 'V',
      scale: 'count * Hello.linkPerCount_V',
    });
  });

  it.each(brokenFrames)('is broken by %s', (_, frames, words) => {
    const broken = brokenPromises(released, currentRelease(frames));
    expect(broken.length).toBeGreaterThan(0);
    expect(broken.join('; ')).toContain(words);
  });

  it.each(brokenKeys)('is broken by %s in Hello', (_, hello, words) => {
    expect(brokenPromises(released, currentRelease(FRAMES, hello as typeof HELLO_SCHEMA))).toEqual([
      expect.stringContaining(words),
    ]);
  });

  it.each(allowedFrames)('is kept when something is added: %s', (_, frames) => {
    expect(brokenPromises(released, currentRelease(frames))).toEqual([]);
  });

  it.each(allowedKeys)('is kept when something is added to Hello: %s', (_, hello) => {
    expect(brokenPromises(released, currentRelease(FRAMES, hello as typeof HELLO_SCHEMA))).toEqual([]);
  });

  it('never lets an id be used again that a version has dropped', () => {
    const without = currentRelease(FRAMES.filter((each) => each !== BEAT));
    const retired = retiredIds(released, without);
    expect(retired).toEqual([BEAT.id]);
    expect(brokenPromises({ ...without, retired }, currentRelease())).toEqual(['id 5 is used again']);
    expect(retiredIds({ ...without, retired }, without)).toEqual([BEAT.id]);
  });
});

describe('older and newer sides', () => {
  const spec = { name: 'Trial', id: 0x55, from: 'either', doc: 'of this test' } as const;
  const first = { number: u16({ doc }), levels: u8({ doc }), reserved: pad(1) };
  const older = codecOf(frame({ ...spec, fields: first }));
  const load = f32({ doc, unit: 'W', scale: 'SI', appended: true });
  const newer = codecOf(frame({ ...spec, fields: { ...first, load, count: u16({ doc, appended: true }) } }));

  it('an older one reads the part it knows of an appended frame', () => {
    const bytes = new Uint8Array(10);
    expect(newer.encode({ number: 7, levels: 3, load: 1.5, count: 9 }, bytes)).toBe(10);
    expect(bytes).toEqual(unhex('07 00 03 00 00 00 c0 3f 09 00'));
    const values = { number: 0, levels: 0 };
    expect(older.decode(bytes, values)).toBe('ok');
    expect(values).toEqual({ number: 7, levels: 3 });
  });

  it('a newer one reads 0 where an older one said nothing, whatever stood there', () => {
    for (const [length, load, count] of [
      [4, 0, 0],
      [6, 0, 0], // half a field is none
      [8, 1.5, 0],
      [9, 1.5, 0],
      [10, 1.5, 9],
      [204, 1.5, 9],
    ]) {
      const bytes = new Uint8Array(204);
      bytes.set(unhex('07 00 03 00 00 00 c0 3f 09 00'));
      const values = { number: 1, levels: 1, load: 4, count: 4 };
      expect(newer.decode(bytes, values, 0, length)).toBe('ok');
      expect(values).toEqual({ number: 7, levels: 3, load, count });
    }
  });

  it('neither takes less than the first release had', () => {
    const values = { number: 1, levels: 1, load: 4, count: 4 };
    expect(newer.decode(new Uint8Array(3), values)).toBe('wrong length');
    expect(values).toEqual({ number: 1, levels: 1, load: 4, count: 4 });
  });
});
