/** Writes the C99 header of the protocol from the declarations. Pure: text in, text out. */
import { endsFrame, type Field, type Frame } from '../dsl.ts';
import {
  BUSY_COUNT_S,
  CREDITS_MOST,
  DUTY_FULL,
  FRAMES,
  HALL_AGE_MOST,
  HELLO_ID,
  NOT_FITTED,
  PROTOCOL_VERSION,
  SENSE_HALL_SHIFT,
  TEXT_MOST,
  WATCH_MOST,
} from '../frames.ts';
import { HELLO_SCHEMA, WATCH_SCHEMA } from '../hello.ts';
import { readFunction, writeFunction } from './c-functions.ts';
import { constantName, fieldNote, helloRows, snake, typeName } from './words.ts';

const HEAD = `/*
 * phantom_link.h: the frames between the virtual drill and a motor controller.
 * Made from src/protocol by "npm run protocol"; do not edit, it is compared in every test run.
 *
 * SCOPE. Structures, ids, sizes and byte-level encoders and decoders. No I/O, no allocation, no global state: every
 * function is re-entrant and takes constant time. C99; needs <stdint.h>, <stddef.h> and memcpy from <string.h>.
 *
 * THE EXCHANGE. The drill sends Sense once per PWM period: what the pins of the board would read. The board computes
 * and answers each Sense with exactly one Drive that repeats its tick; what Drive says is in force from the next PWM
 * period on, as with a timer that loads at its update point. The drill waits for the answer. So the board must take
 * every time (speeds, ramps, timeouts) from the tick counter and never from a clock of its own: between two ticks
 * exactly one PWM period of virtual time has passed, however long the answer took.
 *
 * Before the first Sense the board says Hello (a MessagePack map; phantom_hello.h writes it), and again whenever a
 * Greet asks for it. The drill answers Welcome when it fits, else Refuse with the reason. Power tells that the logic
 * supply goes and comes with the trigger; a Beat that asks is sent back at once with BEAT_ANSWER; Bye ends the link.
 * Note carries text to the person at the drill. A frame of an unknown id is dropped and counted: that is how an older
 * board meets a newer drill.
 *
 * THE WIRE. A packet is: id (1 byte), payload, CRC-16/IBM-3740 over id and payload (low byte first; polynomial
 * 0x1021, start 0xFFFF, not reflected, no final inversion; check value of "123456789" is 0x29B1). On a byte stream a
 * packet is stuffed (COBS) and stands between two 0x00 bytes; phantom_framing.h does that. On a link that keeps
 * message borders it travels as it is. Numbers are little-endian, without gaps.
 *
 * UNITS. Readings are converter counts; Hello tells the drill what one count is worth, so a board keeps its own
 * converter, reference and gains. Each member below states what one count means.
 */`;

/** The whole header. */
export function cHeader(): string {
  const parts = [HEAD, '#ifndef PHANTOM_LINK_H', '#define PHANTOM_LINK_H', '', ...includes(), ...constants()];
  for (const frame of FRAMES) parts.push('', ...frameText(frame));
  parts.push('', ...hostSizes(), '', ...helloText(), '', '#endif /* PHANTOM_LINK_H */', '');
  return parts.join('\n');
}

function includes(): string[] {
  return ['#include <stddef.h>', '#include <stdint.h>', '#include <string.h>', ''];
}

function constants(): string[] {
  const most = Math.max(...FRAMES.filter((each) => each.from !== 'board').map((each) => each.mostBytes));
  return [
    define('PROTOCOL_VERSION', `${PROTOCOL_VERSION}u`, 'what Greet and Hello carry; other versions are refused'),
    define('WATCH_MOST', `${WATCH_MOST}u`, 'most watch values in one Drive'),
    define('HOST_PAYLOAD_MOST', `${most}u`, '[bytes] longest payload that the drill sends'),
    define('TEXT_MOST', `${TEXT_MOST}u`, '[bytes] longest text of a Note or Refuse'),
    define('CREDITS_MOST', `${CREDITS_MOST}u`, 'most frames that may be unanswered'),
    define('NOT_FITTED', hex(NOT_FITTED, 4), 'reading of a sensor that the board does not have'),
    define('HALL_AGE_MOST', hex(HALL_AGE_MOST, 4), 'Hall age that means: this long or longer'),
    define('HALL_AGE_COUNTS_PER_S', '100000000.0f', '[1/s] counts of hall_age in one second (10 ns each)'),
    define('DUTY_FULL', `${DUTY_FULL}u`, 'duty count of a high side that is on all period'),
    define(
      'BUSY_COUNTS_PER_S',
      `${Math.round(1 / BUSY_COUNT_S)}.0f`,
      '[1/s] counts of busy in one second (0.1 us each)',
    ),
    define('SENSE_HALL_SHIFT', `${SENSE_HALL_SHIFT}`, 'flags >> this, masked with 7, is Hall A + 2 B + 4 C'),
  ];
}

function frameText(frame: Frame): string[] {
  const sender = { host: 'Sent by the drill.', board: 'Sent by the board.', either: 'Sent by either side.' }[
    frame.from
  ];
  const [last, list] = Object.entries(frame.fields).find(([, field]) => endsFrame(field)) ?? ['', undefined];
  const size = list ? `payload without ${snake(last)}` : 'payload';
  const name = constantName(frame.name);
  return [
    `/* ---- ${frame.name} ---- ${frame.doc} ${sender} */`,
    define(`${name}_ID`, hex(frame.id, 2), 'first byte of the packet'),
    define(`${name}_SIZE`, `${frame.bytes}u`, `[bytes] ${size}`),
    ...(list ? [define(`${name}_SIZE_MOST`, `${frame.mostBytes}u`, `[bytes] longest payload`)] : []),
    ...Object.entries(frame.fields).flatMap(([field, of]) => maskLines(field, of)),
    '',
    `typedef struct ${typeName(frame)} {`,
    ...Object.entries(frame.fields).flatMap(([field, of]) => memberLines(field, of)),
    `} ${typeName(frame)};`,
    '',
    ...writeFunction(frame),
    '',
    ...readFunction(frame),
  ];
}

/** What a board takes, so that a receiver checks id and length from the declarations. */
function hostSizes(): string[] {
  const taken = FRAMES.filter((each) => each.from !== 'board');
  return [
    '/* Whether a payload of `size` bytes can be the frame `id` from the drill: 1 yes, 0 wrong size, -1 no such frame. */',
    'static inline int phantom_host_payload(uint8_t id, size_t size)',
    '{',
    '    switch (id) {',
    ...taken.map(({ name, bytes, mostBytes }) => {
      const text = constantName(name);
      const fits =
        bytes === mostBytes
          ? `size == PHANTOM_${text}_SIZE`
          : `size >= PHANTOM_${text}_SIZE && size <= PHANTOM_${text}_SIZE_MOST`;
      return `    case PHANTOM_${text}_ID: return ${fits};`;
    }),
    '    default: return -1;',
    '    }',
    '}',
  ];
}

function maskLines(name: string, field: Field): string[] {
  const bits = (field.bits ?? []).map((bit, k) => define(bit.name, hex(2 ** k, 2), bit.doc));
  const codes = (field.codes ?? []).map((code) => define(code.name, `${code.value}u`, code.doc));
  const head = bits.length + codes.length > 0 ? [`/* ${bits.length > 0 ? 'Bits' : 'Codes'} of ${snake(name)}: */`] : [];
  return [...head, ...bits, ...codes];
}

function memberLines(name: string, field: Field): string[] {
  if (field.kind === 'pad') return [];
  const note = fieldNote(field);
  if (field.kind === 'text') {
    return [
      `    uint8_t ${snake(name)}_count; /* [bytes] Length of the text. Not on the wire. */`,
      `    char ${snake(name)}[${field.most} + 1]; /* ${note} Closed with a 0 when it was decoded. */`,
    ];
  }
  if (field.kind === 'f32') return [`    float ${snake(name)}; /* ${note} */`];
  if (field.kind === 'f32s') {
    return [
      `    uint8_t ${snake(name)}_count; /* Number of watch values sent; the same as in Hello. Not on the wire. */`,
      `    float ${snake(name)}[PHANTOM_WATCH_MOST]; /* ${note} */`,
    ];
  }
  return [`    uint${8 * field.size}_t ${snake(name)}; /* ${note} */`];
}

function helloText(): string[] {
  return [
    '/* ---- Hello ---- What the board says about itself: a MessagePack map with all of these keys. Sent by the board. */',
    define('HELLO_ID', hex(HELLO_ID, 2), 'first byte of the packet'),
    ...helloRows(HELLO_SCHEMA).map((row) => define(`KEY_${constantName(row.key)}`, `"${row.key}"`, row.note)),
    '/* Keys of each entry of watch: */',
    ...helloRows(WATCH_SCHEMA).map((row) => define(`KEY_WATCH_${constantName(row.key)}`, `"${row.key}"`, row.note)),
  ];
}

function define(name: string, value: string, doc: string): string {
  return `#define PHANTOM_${name} ${value} /* ${doc} */`;
}

function hex(value: number, digits: number): string {
  return `0x${value.toString(16).toUpperCase().padStart(digits, '0')}u`;
}
