/**
 * Hello: what a board says about itself, once, as a MessagePack map. Declared here as a schema; the type, the check
 * of what arrives and the key names and limits in the C header come from it.
 *
 * The bytes come from outside. They are bounded before decoding, decoded with every limit of the decoder set
 * (all of them default to 4 294 967 295), bounded in depth after it (the decoder has no limit for that), and then
 * checked against the schema.
 */
import { Decoder, encode } from '@msgpack/msgpack';
import { Ajv, type ErrorObject } from 'ajv';
import Type, { type Static } from 'typebox';
import { PROTOCOL_VERSION, WATCH_MOST } from './frames.ts';

/** Longest Hello [bytes]; 32 watch values with all texts at their limit need less. */
export const HELLO_BYTES_MOST = 4096;
/** Deepest nesting of a Hello: the map, the watch list, one entry. */
const DEPTH_MOST = 3;

const text = (maxLength: number, description: string) =>
  Type.String({ minLength: 1, maxLength, pattern: '^[^\\u0000-\\u001f\\u007f]*$', description });
const COUNTS = { minimum: 0, maximum: 65535, unit: 'count' };

export const WATCH_SCHEMA = Type.Object(
  {
    name: text(31, 'name, unique on this board'),
    unit: Type.String({ maxLength: 15, description: 'unit as printed, empty when there is none' }),
    signal: Type.Optional(text(31, 'id of the bench signal that it estimates, when there is one')),
  },
  { additionalProperties: false },
);

export const HELLO_SCHEMA = Type.Object(
  {
    version: Type.Integer({ minimum: 1, maximum: 65535, description: 'protocol version of the board' }),
    board: text(63, 'which board or program this is'),
    firmware: text(63, 'which build of the firmware this is, e.g. a hash'),
    pwm_Hz: Type.Number({ minimum: 1000, maximum: 200000, unit: 'Hz', description: 'PWM frequency' }),
    shunts: Type.Enum(['abc', 'ab', 'bc', 'ac'], { description: 'legs that have a shunt' }),
    currentPerCount_A: Type.Number({
      exclusiveMinimum: 0,
      maximum: 100,
      unit: 'A',
      description: 'phase current of one count',
    }),
    currentZero_counts: Type.Number({ ...COUNTS, description: 'reading of a shunt at zero current' }),
    linkPerCount_V: Type.Number({
      exclusiveMinimum: 0,
      maximum: 10,
      unit: 'V',
      description: 'link voltage of one count',
    }),
    triggerLow_counts: Type.Number({ ...COUNTS, description: 'trigger reading when released' }),
    triggerHigh_counts: Type.Number({ ...COUNTS, description: 'trigger reading when pulled fully' }),
    halls: Type.Boolean({ description: 'whether the board has Hall sensors' }),
    virtualTick: Type.Boolean({ description: 'whether the board takes all its time from the tick of Sense' }),
    watch: Type.Array(WATCH_SCHEMA, { maxItems: WATCH_MOST, description: 'values that ride in every Drive frame' }),
  },
  { additionalProperties: false },
);

export type Watch = Readonly<Static<typeof WATCH_SCHEMA>>;
export type Hello = Readonly<Omit<Static<typeof HELLO_SCHEMA>, 'watch'>> & { readonly watch: readonly Watch[] };

export type HelloResult =
  | { readonly hello: Hello }
  | { readonly problem: 'wrong version' | 'malformed'; readonly detail: string };

const ajv = new Ajv({ allErrors: false });
ajv.addKeyword('unit');
const validate = ajv.compile<Hello>(HELLO_SCHEMA);

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
  return encode(hello, { ignoreUndefined: true, maxDepth: DEPTH_MOST + 1 }).slice();
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
  if (isDeeperThan(value, DEPTH_MOST)) {
    return { problem: 'malformed', detail: `Hello is nested deeper than ${DEPTH_MOST} levels` };
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
  if (!validate(value)) return sentence(validate.errors![0]);
  const { triggerLow_counts: low, triggerHigh_counts: high, watch } = value;
  if (low === high) return `Hello.triggerHigh_counts is ${high}; it must differ from triggerLow_counts`;
  const names = watch.map((each) => each.name);
  const twice = names.find((name, k) => names.indexOf(name) !== k);
  return twice === undefined ? undefined : `Hello.watch names '${twice}' twice; names must be unique`;
}

function sentence({ instancePath, message, params }: ErrorObject): string {
  const allowed = Array.isArray(params.allowedValues) ? `: ${params.allowedValues.join(', ')}` : '';
  const extra = params.additionalProperty === undefined ? '' : ` '${params.additionalProperty}'`;
  return `Hello${instancePath.replaceAll('/', '.')} ${message}${extra}${allowed}`;
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
