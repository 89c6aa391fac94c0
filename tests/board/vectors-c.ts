/**
 * A C program made of the entries of vectors.json: it fills the structures of the kit member by member, encodes, decodes
 * into other memory, compares member by member, and writes each frame as a stream to standard output. Complaints go to
 * standard error, one line each.
 */
import type { Field } from '../../src/protocol/dsl.ts';
import { constantName, snake, typeName } from '../../src/protocol/emit/words.ts';
import { FRAMES } from '../../src/protocol/frames.ts';
import type { Hello } from '../../src/protocol/hello.ts';
import type { FrameVector, HelloVector, Plain, Vectors } from '../protocol/vectors.ts';

const PRELUDE = `#include <stdio.h>
#include "phantom_framing.h"
#include "phantom_hello.h"
#define ROOM 4096u

static phantom_receiver receiver;
static const char *entry = "";

static void check(int holds, const char *what)
{
    if (!holds) fprintf(stderr, "%s: %s\\n", entry, what);
}

static float from_bits(uint32_t bits)
{
    float value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

static void check_taken(uint8_t id, const uint8_t *payload, size_t size, const char *what)
{
    check(receiver.id == id && receiver.payload_size == size && memcmp(receiver.payload, payload, size) == 0, what);
}

/* Writes a frame; what a board would get goes through the receiver in both forms. */
static void put(uint8_t id, const uint8_t *payload, size_t size)
{
    static uint8_t wire[PHANTOM_WIRE_MOST(ROOM)];
    const size_t n = phantom_frame_wrap(id, payload, size, wire);
    fwrite(wire, 1, n, stdout);
    if (phantom_host_payload(id, size) != 1) return;
    int got = 0;
    for (size_t k = 0; k < n; k++) got += phantom_receiver_push(&receiver, wire[k]);
    check(got == 1, "the stream is not taken");
    check_taken(id, payload, size, "the stream is another frame");
    check(phantom_receiver_message(&receiver, wire, phantom_packet_seal(id, payload, size, wire)), "the message is not taken");
    check_taken(id, payload, size, "the message is another frame");
}
`;

/** The whole program. */
export function vectorProgram({ frames, hellos }: Vectors): string {
  const functions = [...frames.map(frameFunction), ...hellos.map((each, k) => helloFunction(each, frames.length + k))];
  const calls = functions.map((_, k) => `    entry${k}();`);
  return [
    PRELUDE,
    ...functions,
    'int main(void)\n{\n    phantom_receiver_init(&receiver);',
    ...calls,
    '    return 0;\n}\n',
  ].join('\n');
}

function frameFunction({ frame: name, what, values }: FrameVector, k: number): string {
  const frame = FRAMES.find((each) => each.name === name)!;
  const type = typeName(frame);
  const fields = Object.entries(frame.fields).filter(([, field]) => field.kind !== 'pad');
  return [
    `static void entry${k}(void)\n{`,
    `    entry = ${quoted(`${name}, ${what}`)};`,
    `    ${type} m;\n    ${type} back;\n    uint8_t payload[ROOM];`,
    '    memset(&m, 0, sizeof m);\n    memset(&back, 0xA5, sizeof back);',
    ...fields.flatMap(([field, of]) => fill(snake(field), of, values[field])),
    `    const size_t size = ${type}_encode(&m, payload);`,
    `    check(${type}_decode(&back, payload, size), "does not decode");`,
    ...fields.map(([field, of]) => compare(snake(field), of)),
    `    put(PHANTOM_${constantName(name)}_ID, payload, size);\n}\n`,
  ].join('\n');
}

function fill(name: string, { kind }: Field, value: Plain | Plain[]): string[] {
  if (kind === 'text') {
    const bytes = [...new TextEncoder().encode(String(value))];
    const text = bytes.map((byte) => `\\${byte.toString(8).padStart(3, '0')}`).join('');
    return [`    m.${name}_count = ${bytes.length};`, `    memcpy(m.${name}, "${text}", ${bytes.length});`];
  }
  if (Array.isArray(value)) {
    const items = value.map((each, k) => `    m.${name}[${k}] = ${floatText(each)};`);
    return [`    m.${name}_count = ${value.length};`, ...items];
  }
  return [`    m.${name} = ${kind === 'f32' ? floatText(value) : `${value}u`};`];
}

function compare(name: string, { kind }: Field): string {
  const bytes = `memcmp(&back.${name}, &m.${name}, sizeof m.${name}) == 0`;
  if (kind === 'text') {
    return `    check(back.${name}_count == m.${name}_count && memcmp(back.${name}, m.${name}, m.${name}_count + 1u) == 0, "${name}");`;
  }
  if (kind === 'f32s') {
    const items = `memcmp(back.${name}, m.${name}, m.${name}_count * sizeof m.${name}[0]) == 0`;
    return `    check(back.${name}_count == m.${name}_count && ${items}, "${name}");`;
  }
  return `    check(${bytes}, "${name}");`;
}

/** By its bits: C has no literal for some of them. */
function floatText(value: Plain): string {
  const view = new DataView(new ArrayBuffer(4));
  view.setFloat32(0, Number(value));
  return `from_bits(0x${view.getUint32(0).toString(16)}u)`;
}

/** Keys of Hello that the structure holds as float32; the others are counts, flags and texts. */
export const HELLO_FLOATS = [
  'pwm_Hz',
  'currentPerCount_A',
  'currentZero_counts',
  'linkPerCount_V',
  'triggerLow_counts',
  'triggerHigh_counts',
  'phasePerCount_V',
  'ntc_ohm',
  'ntcB_K',
  'ntcPullUp_ohm',
  'gyroPerCount_rad_s',
  'accelPerCount_m_s2',
] as const satisfies readonly (keyof Hello)[];

/** ntcPullUp_ohm to ntc_pull_up_ohm: the unit keeps its letters. */
function memberName(key: string): string {
  const [name, ...unit] = key.split('_');
  return [snake(name), ...unit].join('_');
}

function helloFunction({ what, hello }: HelloVector, k: number): string {
  const { watch, ...rest } = hello;
  const members = Object.entries(rest).filter(([key]) => key !== 'version');
  const lines = members.map(([key, value]) => {
    if (typeof value === 'string') return `    h.${memberName(key)} = ${quoted(value)};`;
    const float = (HELLO_FLOATS as readonly string[]).includes(key);
    return `    h.${memberName(key)} = ${float ? floatText(Number(value)) : `${Number(value)}u`};`;
  });
  const list = watch.map(({ name, unit, signal }) => {
    return `        {${quoted(name)}, ${quoted(unit)}, ${signal === undefined ? 'NULL' : quoted(signal)}},`;
  });
  return [
    `static void entry${k}(void)\n{`,
    `    entry = ${quoted(`Hello, ${what}`)};`,
    '    phantom_hello h;\n    uint8_t payload[ROOM];\n    memset(&h, 0, sizeof h);',
    ...(list.length > 0
      ? ['    static const phantom_watch watch[] = {', ...list, '    };', '    h.watch = watch;']
      : []),
    `    h.watch_count = ${watch.length};`,
    ...lines,
    '    const size_t size = phantom_hello_encode(&h, payload, sizeof payload);',
    '    check(size > 0 && phantom_hello_encode(&h, payload, size) == size, "does not fit its own length");',
    '    check(phantom_hello_encode(&h, payload, size - 1u) == 0, "fits less than its length");',
    '    put(PHANTOM_HELLO_ID, payload, size);\n}\n',
  ].join('\n');
}

function quoted(text: string): string {
  const bytes = [...new TextEncoder().encode(text)];
  return `"${bytes.map((byte) => `\\${byte.toString(8).padStart(3, '0')}`).join('')}"`;
}
