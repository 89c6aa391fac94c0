/**
 * Hello: what a board says about itself, once, as a MessagePack map. Declared here as a schema; the type, the check
 * of what arrives and the key names and limits in the C header come from it.
 *
 * The bytes come from outside. They are bounded before decoding, decoded with every limit of the decoder set
 * (all of them default to 4 294 967 295), bounded in depth after it (the decoder has no limit for that), and then
 * checked against the schema.
 */
import { Decoder, encode } from '@msgpack/msgpack';
import Type, { type Static } from 'typebox';
import { Check, Errors } from 'typebox/value';
import { CREDITS_MOST, PROTOCOL_VERSION, WATCH_MOST } from './limits.ts';

/** Longest Hello [bytes]; 32 watch values with all texts at their limit need less. */
export const HELLO_BYTES_MOST = 4096;
/** Deepest nesting of a Hello: the map, the watch list, one entry. */
export const HELLO_DEPTH_MOST = 3;

/** No control characters, and none that turn the direction of writing: these texts are shown beside others. */
const PLAIN = '^[^\\u0000-\\u001f\\u007f-\\u009f\\u200e\\u200f\\u202a-\\u202e\\u2066-\\u2069]*$';
const text = (maxLength: number, description: string) =>
  Type.String({ minLength: 1, maxLength, pattern: PLAIN, description });
const scale = (maximum: number, unit: string, description: string) =>
  Type.Number({ exclusiveMinimum: 0, maximum, unit, description });
const COUNTS = { minimum: 0, maximum: 65535, unit: 'count' };

export const WATCH_SCHEMA = Type.Object(
  {
    name: text(31, 'name, unique on this board'),
    unit: Type.String({ maxLength: 15, pattern: PLAIN, description: 'unit as printed, empty when there is none' }),
    signal: Type.Optional(text(31, 'id of the bench signal that it estimates, when there is one')),
  },
  { additionalProperties: false },
);

export const HELLO_SCHEMA = Type.Object(
  {
    version: Type.Integer({ minimum: 1, maximum: 65535, description: 'protocol version of the board' }),
    board: text(63, 'which board or program this is'),
    uid: text(63, 'which one of them: number of the chip, or of the process'),
    firmware: text(63, 'which build of the firmware this is, e.g. a hash'),
    pwm_Hz: Type.Number({ minimum: 1000, maximum: 200000, unit: 'Hz', description: 'PWM frequency' }),
    updates: Type.Integer({ minimum: 1, maximum: 2, description: 'update points a PWM period, each with a Sense' }),
    bits: Type.Integer({ minimum: 8, maximum: 15, description: 'bits of the converter' }),
    shunts: Type.Enum(['abc', 'ab', 'bc', 'ac'], { description: 'legs that have a shunt' }),
    currentPerCount_A: scale(100, 'A', 'phase current of one count'),
    currentZero_counts: Type.Number({ ...COUNTS, description: 'reading of a shunt at zero current' }),
    linkPerCount_V: scale(10, 'V', 'link voltage of one count'),
    triggerLow_counts: Type.Number({ ...COUNTS, description: 'trigger reading when released' }),
    triggerHigh_counts: Type.Number({ ...COUNTS, description: 'trigger reading when pulled fully' }),
    halls: Type.Boolean({ description: 'whether the board has Hall sensors' }),
    phasePerCount_V: Type.Optional(
      scale(10, 'V', 'phase voltage of one count; left out: the board does not read them'),
    ),
    ntc_ohm: Type.Optional(scale(1e6, 'ohm', 'thermistors at 25 °C; left out: the board does not read them')),
    ntcB_K: Type.Optional(scale(10_000, 'K', 'exponent B of their law, at 25 °C')),
    ntcPullUp_ohm: Type.Optional(scale(1e6, 'ohm', 'resistor from the reference to each thermistor')),
    gyroPerCount_rad_s: Type.Optional(scale(10, 'rad/s', 'body rate of one count; left out: not read')),
    accelPerCount_m_s2: Type.Optional(scale(100, 'm/s²', 'acceleration of one count; left out: not read')),
    virtualTick: Type.Boolean({ description: 'whether the board takes all its time from the tick of Sense' }),
    rateSplit: Type.Optional(
      Type.Boolean({ description: 'whether the board answers Scene: closes its fast loops itself, in wall time' }),
    ),
    credits: Type.Optional(
      Type.Integer({
        minimum: 1,
        maximum: CREDITS_MOST,
        description: 'frames that it can have unanswered; 1 if left out',
      }),
    ),
    watch: Type.Array(WATCH_SCHEMA, { maxItems: WATCH_MOST, description: 'values that ride in every Drive frame' }),
  },
  { additionalProperties: false },
);

export type Watch = Readonly<Static<typeof WATCH_SCHEMA>>;
export type Hello = Readonly<Omit<Static<typeof HELLO_SCHEMA>, 'watch'>> & { readonly watch: readonly Watch[] };

export type HelloResult =
  | { readonly hello: Hello }
  | { readonly problem: 'wrong version' | 'malformed'; readonly detail: string };

const decoder = new Decoder({
  maxStrLength: 256,
  maxBinLength: 0,
  maxArrayLength: WATCH_MOST,
  maxMapLength: Object.keys(HELLO_SCHEMA.properties).length + 8,
  maxExtLength: 0,
  useBigInt64: false,
  rawStrings: false,
});

/** Encodes a Hello. Throws RangeError naming the field when it does not follow the schema. */
export function encodeHello(hello: Hello): Uint8Array {
  const problem = problemOf(hello);
  if (problem) throw new RangeError(problem);
  return encode(hello, { ignoreUndefined: true, maxDepth: HELLO_DEPTH_MOST + 1 }).slice();
}

/** Decodes and checks a Hello; never throws. The detail of a problem says which field and what is allowed. */
export function decodeHello(bytes: Uint8Array, at = 0, length = bytes.length - at): HelloResult {
  if (length > HELLO_BYTES_MOST) {
    return { problem: 'malformed', detail: `Hello has ${length} bytes; allowed are ${HELLO_BYTES_MOST}` };
  }
  let value: unknown;
  try {
    value = decoder.decode(bytes.subarray(at, at + length));
  } catch (error) {
    return { problem: 'malformed', detail: `Hello is not a MessagePack map: ${(error as Error).message}` };
  }
  if (isDeeperThan(value, HELLO_DEPTH_MOST)) {
    return { problem: 'malformed', detail: `Hello is nested deeper than ${HELLO_DEPTH_MOST} levels` };
  }
  // The version comes first: a board of another version may say other fields, and must hear which it is.
  const version = (value as { version?: unknown } | null)?.version;
  if (typeof version === 'number' && version !== PROTOCOL_VERSION) {
    return { problem: 'wrong version', detail: `the board speaks version ${version}, this is ${PROTOCOL_VERSION}` };
  }
  const problem = problemOf(value);
  return problem ? { problem: 'malformed', detail: problem } : { hello: Object.freeze(value as Hello) };
}

/** What is wrong with a Hello, in words; undefined when nothing is. */
function problemOf(value: unknown): string | undefined {
  if (!Check(HELLO_SCHEMA, value)) return sentence(Errors(HELLO_SCHEMA, value));
  const { triggerLow_counts: low, triggerHigh_counts: high, watch } = value;
  if (low === high) return `Hello.triggerHigh_counts is ${high}; it must differ from triggerLow_counts`;
  const ntc = [value.ntc_ohm, value.ntcB_K, value.ntcPullUp_ohm].filter((each) => each !== undefined).length;
  if (ntc !== 0 && ntc !== 3) return 'Hello has some of ntc_ohm, ntcB_K, ntcPullUp_ohm; it must have all three or none';
  const most = 2 ** value.bits - 1;
  for (const key of ['currentZero_counts', 'triggerLow_counts', 'triggerHigh_counts'] as const)
    if (value[key] > most)
      return `Hello.${key} is ${value[key]}; a converter of ${value.bits} bits reads at most ${most}`;
  const names = watch.map((each) => each.name);
  const twice = names.find((name, k) => names.indexOf(name) !== k);
  return twice === undefined ? undefined : `Hello.watch names '${twice}' twice; names must be unique`;
}

/** The first error as a sentence. The checker only reads the schema: a page that forbids code made from text runs it too. */
function sentence(errors: ReturnType<typeof Errors>): string {
  const { instancePath, keyword, message, params } = errors.find((each) => each.keyword !== 'boolean') ?? errors[0];
  const named: Readonly<Record<string, unknown>> = { ...params };
  const where = `Hello${instancePath.replaceAll('/', '.')}`;
  const list = (key: string): string[] => (Array.isArray(named[key]) ? named[key] : []);
  if (keyword === 'required') return `${where} must have required property '${list('requiredProperties')[0]}'`;
  const [key] = list('additionalProperties');
  const extra = key === undefined ? '' : ` '${quoted(key)}'`;
  const allowed = list('allowedValues').length > 0 ? `: ${list('allowedValues').join(', ')}` : '';
  return `${where} ${message}${extra}${allowed}`;
}

/** A key that a board made up, fit to be shown: no control characters, not longer than a key may be. */
function quoted(key: string): string {
  return key.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/gu, ' ').slice(0, 63);
}

/** Walks without recursion, so that depth costs no stack. */
function isDeeperThan(value: unknown, most: number): boolean {
  let level: unknown[] = [value];
  for (let depth = 0; level.length > 0; depth++) {
    const inner = level.filter((each) => typeof each === 'object' && each !== null);
    if (inner.length > 0 && depth >= most) return true;
    level = inner.flatMap((each) => Object.values(each as object));
  }
  return false;
}
