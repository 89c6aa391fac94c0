/** Writes the C99 header of the protocol from the declarations. Pure: text in, text out. */
import { endsFrame, type Field, type Frame, isClosed } from '../dsl.ts';
import {
  BUSY_COUNT_S,
  CREDITS_MOST,
  DUTY_FULL,
  FRAMES,
  HALL_AGE_COUNT_S,
  HALL_AGE_MOST,
  HELLO_ID,
  NOT_FITTED,
  PAYLOAD_MOST,
  PROTOCOL_VERSION,
  SENSE_HALL_SHIFT,
  TEXT_MOST,
  WATCH_MOST,
} from '../frames.ts';
import { HELLO_SCHEMA, WATCH_SCHEMA } from '../hello.ts';
import { comment, define, hex, noted } from './c-comments.ts';
import { READ_WORD, readFunction, writeFunction } from './c-functions.ts';
import { constantName, fieldNote, helloRows, sentence, snake, typeName } from './words.ts';

const HEAD = `/*
 * phantom_link.h: the frames between the virtual drill and a motor controller.
 * Made from src/protocol by "npm run protocol"; do not edit, it is compared in every test run. PROTOCOL.md beside it
 * tells the same as a page to read.
 *
 * SCOPE. Structures, ids, sizes and byte-level encoders and decoders. No I/O, no allocation, no global state: every
 * function is re-entrant and takes constant time. C99; needs <stdint.h>, <stddef.h> and memcpy from <string.h>.
 *
 * THE EXCHANGE. The drill sends Sense at every update point, once or twice a PWM period (Hello.updates): what the pins
 * of the board would read. The board computes and answers each Sense with exactly one Drive that repeats its tick; what
 * Drive says is in force from the next update point on, as with a timer that is loaded there. The drill waits for the
 * answer. So the board must take every time (speeds, ramps, timeouts) from the tick counter and never from a clock of
 * its own: from one tick to the next the same virtual time has passed, however long the answer took.
 *
 * Before the first Sense the board says Hello (a MessagePack map; phantom_hello.h writes it), and again whenever a
 * Greet asks for it. The drill answers Welcome when it fits, else Refuse with the reason. Power tells that the logic
 * supply goes and comes with the trigger; a Beat that asks is sent back at once with BEAT_ANSWER; Bye ends the link.
 * Note carries text to the person at the drill.
 *
 * OLDER AND NEWER. A frame of an unknown id is dropped and counted; of a frame that is longer than known here the known
 * part is read. That is how an older board meets a newer drill. Reserved bytes are sent as 0.
 *
 * THE WIRE. A packet is: id (1 byte), payload, CRC-16/IBM-3740 over id and payload (low byte first; polynomial
 * 0x1021, start 0xFFFF, not reflected, no final inversion; check value of "123456789" is 0x29B1). On a byte stream a
 * packet is stuffed (COBS) and stands between two 0x00 bytes; phantom_framing.h does that. On a link that keeps
 * message borders it travels as it is. Numbers are little-endian, without gaps.
 *
 * UNITS. Readings are converter counts; Hello tells the drill what one count is worth, so a board keeps its own
 * converter, reference and gains. Each member below states what one count means; [A] alone: the value is in that unit.
 */`;

/** The whole header, of these frames. */
export function cHeader(frames: readonly Frame[] = FRAMES): string {
  const parts = [
    HEAD,
    '#ifndef PHANTOM_LINK_H',
    '#define PHANTOM_LINK_H',
    '',
    ...includes(),
    ...constants(),
    '',
    ...READ_WORD,
  ];
  for (const frame of frames) parts.push('', ...frameText(frame));
  parts.push('', ...hostSizes(frames), '', ...helloText(), '', '#endif /* PHANTOM_LINK_H */', '');
  return parts.join('\n');
}

function includes(): string[] {
  return ['#include <stddef.h>', '#include <stdint.h>', '#include <string.h>', ''];
}

function constants(): string[] {
  const perSecond = (count_s: number) => `${Math.round(1 / count_s)}.0f`;
  return [
    ...define('PROTOCOL_VERSION', `${PROTOCOL_VERSION}u`, 'what Greet and Hello carry; other versions are refused'),
    ...define('WATCH_MOST', `${WATCH_MOST}u`, 'most watch values in one Drive or Report'),
    ...define('HOST_PAYLOAD_MOST', `${PAYLOAD_MOST}u`, '[bytes] longest payload that any drill sends'),
    ...define('TEXT_MOST', `${TEXT_MOST}u`, '[bytes] longest text of a Note or Refuse'),
    ...define('CREDITS_MOST', `${CREDITS_MOST}u`, 'most frames that may be unanswered'),
    ...define('NOT_FITTED', hex(NOT_FITTED, 4), 'reading of a sensor that the board does not have'),
    ...define('HALL_AGE_MOST', hex(HALL_AGE_MOST, 4), 'Hall age that means: this long or longer'),
    ...define('HALL_AGE_COUNTS_PER_S', perSecond(HALL_AGE_COUNT_S), '[1/s] counts of hall_age in one second'),
    ...define('DUTY_FULL', `${DUTY_FULL}u`, 'duty count of a high side that is on all period'),
    ...define('BUSY_COUNTS_PER_S', perSecond(BUSY_COUNT_S), '[1/s] counts of busy in one second'),
    ...define('SENSE_HALL_SHIFT', `${SENSE_HALL_SHIFT}`, 'flags >> this, masked with 7, is Hall A + 2 B + 4 C'),
  ];
}

function frameText(frame: Frame): string[] {
  const sender = { host: 'Sent by the drill.', board: 'Sent by the board.', either: 'Sent by either side.' };
  const [last, list] = Object.entries(frame.fields).find(([, field]) => endsFrame(field)) ?? ['', undefined];
  const name = constantName(frame.name);
  return [
    ...comment(`---- ${frame.name} ---- ${frame.doc} ${sender[frame.from]}`),
    ...define(`${name}_ID`, hex(frame.id, 2), 'first byte of the packet'),
    ...define(`${name}_SIZE`, `${frame.bytes}u`, `[bytes] ${list ? `payload without ${snake(last)}` : 'payload'}`),
    ...(list ? define(`${name}_SIZE_MOST`, `${frame.mostBytes}u`, '[bytes] longest payload') : []),
    ...(frame.leastBytes < frame.bytes
      ? define(`${name}_SIZE_LEAST`, `${frame.leastBytes}u`, '[bytes] payload of the oldest sender')
      : []),
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
function hostSizes(frames: readonly Frame[]): string[] {
  const taken = frames.filter((each) => each.from !== 'board');
  return [
    '/* Whether a payload of `size` bytes can be the frame `id` from a drill: 1 yes, 0 wrong size, -1 no such frame. */',
    'static inline int phantom_host_payload(uint8_t id, size_t size)',
    '{',
    '    switch (id) {',
    ...taken.map((frame) => {
      const size = `PHANTOM_${constantName(frame.name)}_SIZE`;
      const least = frame.leastBytes < frame.bytes ? `${size}_LEAST` : size;
      const most = isClosed(frame) ? `${size}_MOST` : 'PHANTOM_HOST_PAYLOAD_MOST';
      return `    case PHANTOM_${constantName(frame.name)}_ID: return size >= ${least} && size <= ${most};`;
    }),
    '    default: return -1;',
    '    }',
    '}',
  ];
}

function maskLines(name: string, field: Field): string[] {
  const bits = (field.bits ?? []).flatMap((bit, k) => define(bit.name, hex(2 ** k, 2), bit.doc));
  const codes = (field.codes ?? []).flatMap((code) => define(code.name, `${code.value}u`, code.doc));
  const head = bits.length + codes.length > 0 ? [`/* ${bits.length > 0 ? 'Bits' : 'Codes'} of ${snake(name)}: */`] : [];
  return [...head, ...bits, ...codes];
}

function memberLines(name: string, field: Field): string[] {
  if (field.kind === 'pad') return [];
  const note = fieldNote(field);
  if (field.kind === 'text') {
    return [
      ...noted(`    uint8_t ${snake(name)}_count;`, '[bytes] Length of the text. Not on the wire.'),
      ...noted(`    char ${snake(name)}[${field.most + 1}];`, `${note} Closed with a 0 when it was decoded.`),
    ];
  }
  if (field.kind === 'f32') return noted(`    float ${snake(name)};`, note);
  if (field.kind === 'f32s') {
    return [
      ...noted(`    uint8_t ${snake(name)}_count;`, 'Values in use; as many as in Hello. Not on the wire.'),
      ...noted(`    float ${snake(name)}[${field.most}];`, note),
    ];
  }
  return noted(`    uint${8 * field.size}_t ${snake(name)};`, note);
}

function helloText(): string[] {
  return [
    ...comment(
      '---- Hello ---- What the board says about itself: a MessagePack map with these keys. Sent by the board.',
    ),
    ...define('HELLO_ID', hex(HELLO_ID, 2), 'first byte of the packet'),
    ...helloRows(HELLO_SCHEMA).flatMap(({ key, note }) =>
      define(`KEY_${constantName(key)}`, `"${key}"`, sentence(note)),
    ),
    '/* Keys of each entry of watch: */',
    ...helloRows(WATCH_SCHEMA).flatMap(({ key, note }) =>
      define(`KEY_WATCH_${constantName(key)}`, `"${key}"`, sentence(note)),
    ),
  ];
}
