/**
 * Frames with their bytes, for TypeScript and C alike: vectors.json, written once by vectors-main.ts and committed. Every
 * kind of frame at the ends of its range, with a value of its own in each field so that two exchanged ones show, and Hello
 * from the shortest to the longest.
 */
import { codecOf } from '../../src/protocol/codec-of.ts';
import type { Field, Frame, ValuesOf } from '../../src/protocol/dsl.ts';
import { FRAMES, HELLO_ID, PAYLOAD_MOST } from '../../src/protocol/frames.ts';
import { encodeHello, HELLO_BYTES_MOST, type Hello } from '../../src/protocol/hello.ts';
import { MessageSender } from '../../src/protocol/message.ts';
import { StreamSender } from '../../src/protocol/stream.ts';
import { hex } from '../support/hex.ts';
import { HELLO_SAMPLE } from './samples.ts';

/** A number as JSON holds it: what it has no form for (NaN, infinities, -0) as text. */
export type Plain = number | string;
export type PlainValues = Record<string, Plain | Plain[]>;

interface Wires {
  /** What the frame carries. */ readonly payload: string;
  /** On a link that keeps message borders. */ readonly message: string;
  /** On a stream. */ readonly stream: string;
}
export interface FrameVector extends Wires {
  readonly frame: string;
  readonly what: string;
  readonly values: PlainValues;
}
export interface HelloVector extends Wires {
  readonly what: string;
  readonly hello: Hello;
}
export interface Vectors {
  readonly frames: readonly FrameVector[];
  readonly hellos: readonly HelloVector[];
}

export const INTEGER_MOST: Readonly<Record<string, number>> = { u8: 0xff, u16: 0xffff, u32: 0xffffffff };
const FLOAT_MOST = 3.4028234663852886e38;
const FLOAT_LEAST = 1.401298464324817e-45; // the smallest one above 0
const SPECIAL = [-0, FLOAT_LEAST, -FLOAT_LEAST, FLOAT_MOST, -FLOAT_MOST, Number.POSITIVE_INFINITY, Number.NaN, -0.1];

/** What each entry puts into a field; the place keeps the values of one frame apart. */
type Fill = (field: Field, place: number) => number | string | number[];
const FILLS: readonly (readonly [string, Fill])[] = [
  ['all 0', ({ kind }) => (kind === 'text' ? '' : kind === 'f32s' ? [] : 0)],
  [
    'all at their most',
    ({ kind, most }) => {
      if (kind === 'text') return 'm'.repeat(most);
      return kind === 'f32s' ? Array(most).fill(FLOAT_MOST) : (INTEGER_MOST[kind] ?? FLOAT_MOST);
    },
  ],
  [
    'each its own',
    ({ kind }, place) => {
      if (kind === 'text') return 'drill: 3 °C über 0, 一, \u{1f529}';
      if (kind === 'f32s') return [place + 0.5, -place - 0.25, 1e-3 * place];
      if (kind === 'f32') return (place + 1) / -3;
      return { u8: 0x21, u16: 0x4321, u32: 0x87654321 }[kind as 'u8'] + place;
    },
  ],
  [
    'one bit, and floats at the ends of their range',
    ({ kind }, place) => {
      if (kind === 'text') return '\u0000';
      if (kind === 'f32s') return SPECIAL;
      return kind === 'f32' ? SPECIAL[place % SPECIAL.length] : 1;
    },
  ],
];

function plain(value: number): Plain {
  if (Object.is(value, -0)) return '-0';
  return Number.isFinite(value) ? value : String(value);
}

type Values = ValuesOf<Frame>;

/** Values as the codec takes them, from those of an entry. */
export function valuesOf(frame: Frame, values: PlainValues): Values {
  const entries = Object.entries(values).map(([name, value]) => {
    if (Array.isArray(value)) return [name, Float32Array.from(value, Number)] as const;
    return [name, frame.fields[name].kind === 'text' ? String(value) : Number(value)] as const;
  });
  return Object.fromEntries(entries) as Values;
}

/** Values to decode into: nothing of what an entry has but the length of its list. */
export function blankOf(frame: Frame, values: PlainValues): Values {
  const entries = Object.entries(values).map(([name, value]) => {
    if (Array.isArray(value)) return [name, new Float32Array(value.length)] as const;
    return [name, frame.fields[name].kind === 'text' ? 'x' : 77] as const;
  });
  return Object.fromEntries(entries) as Values;
}

export function wiresOf(id: number, payload: Uint8Array): Wires {
  const most = Math.max(PAYLOAD_MOST, HELLO_BYTES_MOST);
  const message = hex(new MessageSender(most).wrapCopy(id, payload));
  return { payload: hex(payload), message, stream: hex(new StreamSender(most).wrapCopy(id, payload)) };
}

export function payloadOf(frame: Frame, values: PlainValues): Uint8Array {
  const bytes = new Uint8Array(PAYLOAD_MOST);
  return bytes.subarray(0, codecOf(frame).encode(valuesOf(frame, values), bytes));
}

const hellos: readonly (readonly [string, Hello])[] = [
  ['no watch values and nothing optional', { ...HELLO_SAMPLE, watch: [] }],
  ['one watch value', HELLO_SAMPLE],
  [
    'everything optional',
    {
      ...HELLO_SAMPLE,
      updates: 2,
      bits: 10,
      currentZero_counts: 512.5,
      triggerHigh_counts: 1000,
      shunts: 'ac',
      halls: false,
      phasePerCount_V: 0.01,
      ntc_ohm: 10_000,
      ntcB_K: 3380,
      ntcPullUp_ohm: 4700,
      gyroPerCount_rad_s: 0.0175,
      accelPerCount_m_s2: 0.1,
      virtualTick: false,
      rateSplit: true,
      credits: 8,
      watch: [
        { name: 'speed', unit: 'rad/s', signal: 'motorSpeed' },
        { name: 'Temperatur 1', unit: '°C' },
        { name: 'share', unit: '' },
      ],
    },
  ],
  [
    'every text, list and number at its most',
    {
      ...HELLO_SAMPLE,
      board: 'b'.repeat(63),
      uid: 'u'.repeat(63),
      firmware: 'f'.repeat(63),
      pwm_Hz: 200_000,
      updates: 2,
      bits: 15,
      currentPerCount_A: 100,
      currentZero_counts: 32_767,
      linkPerCount_V: 10,
      triggerLow_counts: 0,
      triggerHigh_counts: 32_767,
      phasePerCount_V: 10,
      ntc_ohm: 1e6,
      ntcB_K: 10_000,
      ntcPullUp_ohm: 1e6,
      gyroPerCount_rad_s: 10,
      accelPerCount_m_s2: 100,
      rateSplit: true,
      credits: 64,
      watch: Array.from({ length: 32 }, (_, k) => ({
        name: `${k}`.padEnd(31, 'n'),
        unit: 'u'.repeat(15),
        signal: 's'.repeat(31),
      })),
    },
  ],
];

/** All entries, made anew. */
export function makeVectors(): Vectors {
  return {
    frames: FRAMES.flatMap((frame) =>
      FILLS.map(([what, fill]) => {
        const names = Object.entries(frame.fields).filter(([, field]) => field.kind !== 'pad');
        const filled = names.map(([name, field], place) => {
          const value = fill(field, place);
          if (Array.isArray(value)) return [name, value.map((each) => plain(Math.fround(each)))] as const;
          return [
            name,
            typeof value === 'string' ? value : plain(field.kind === 'f32' ? Math.fround(value) : value),
          ] as const;
        });
        const values: PlainValues = Object.fromEntries(filled);
        return { frame: frame.name, what, values, ...wiresOf(frame.id, payloadOf(frame, values)) };
      }),
    ),
    hellos: hellos.map(([what, hello]) => ({ what, hello, ...wiresOf(HELLO_ID, encodeHello(hello)) })),
  };
}
