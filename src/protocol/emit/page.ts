/** Writes the reference page of the protocol, src/board/PROTOCOL.md, from the declarations. Pure: text out. */
import { codecOf } from '../codec-of.ts';
import { crc16 } from '../crc16.ts';
import type { Frame } from '../dsl.ts';
import {
  BYE,
  BYE_DONE,
  CREDITS_MOST,
  FRAMES,
  HELLO_ID,
  PAYLOAD_MOST,
  PROTOCOL_VERSION,
  TEXT_MOST,
  WATCH_MOST,
} from '../frames.ts';
import { HELLO_BYTES_MOST, HELLO_DEPTH_MOST } from '../hello.ts';
import { MessageSender } from '../message.ts';
import { DROP_CAUSES, DROP_TEXT, type DropCause, PACKET_EXTRA, PAYLOAD_AT } from '../packet.ts';
import { StreamSender } from '../stream.ts';
import { EVOLUTION } from './page-evolution.ts';
import { frameTable, helloTable, idText, senderText, table } from './tables.ts';

/** When a frame is sent and what follows it; every frame has its line. */
const WHEN: Readonly<Record<string, readonly [when: string, then: string]>> = {
  Greet: ['once the link is open', 'the board says Hello'],
  Hello: [
    'when Greet asks, and unasked after every reset of the board',
    'Welcome or Refuse; one that nobody asked for is counted as a restart',
  ],
  Welcome: ['when the Hello fits', 'the board keeps its terms; no answer'],
  Refuse: ['when the Hello does not fit', 'nothing, until the next Greet'],
  Sense: ['lock-step: at every update point while the supply is up', 'exactly one Drive with the same tick'],
  Drive: ['lock-step: once per Sense, at once', 'the drill goes on to the next update point'],
  Power: ['when the logic supply comes or goes', 'the board starts anew, or falls still; no answer'],
  Scene: ['rate-split: at its pace in wall time', 'one Report with the same number'],
  Report: ['rate-split: once per Scene', 'the drill uses it; a gap in the numbers is counted as loss'],
  Note: ['at any time after Hello', 'the drill shows the text'],
  Beat: ['while nothing else is under way', 'the same number comes back at once, with BEAT_ANSWER'],
  Bye: ['before a side leaves', 'the other side stops; all legs open'],
};

const DROPPED: Readonly<Record<DropCause, string>> = {
  badCrc: 'the checksum does not match: a damaged packet, or noise',
  tooLong: `more bytes between two delimiters, or in a message, than any packet has`,
  badCobs: 'the bytes between two delimiters are no stuffed packet',
  wrongLength: 'the checksum is right, but the length is none that this id can have',
  unknownId: 'the checksum is right, but no frame of this direction has this id: the sender is newer',
};

const LIFE = `\`\`\`
  drill                                     board
    |  Greet -------------------------------> |    the link is open
    | <-------------------------------- Hello |
    |  Welcome -----------------------------> |    or Refuse, with the reason; then nothing follows
    |                                         |
    |  Power (on) --------------------------> |    the trigger's contact closes
    |  Sense (tick n, SENSE_BOOT) ----------> |    the firmware starts from nothing
    | <----------------------- Drive (tick n) |
    |  Sense (tick n+1) --------------------> |    lock-step: the drill waits for each Drive
    | <--------------------- Drive (tick n+1) |
    |  ...                                    |    Note from the board, at any time
    |  Power (off) -------------------------> |    the trigger is let go: no Sense comes any more
    |                                         |
    |  Beat (number k) ---------------------> |    while nothing else is under way
    | <---------------- Beat (k, BEAT_ANSWER) |
    |                                         |
    |  Bye ---------------------------------> |    all legs open; the board waits for the next Greet
\`\`\`

In rate-split, Scene stands for Sense and Report for Drive, and neither side waits.`;

/** The whole page. */
export function protocolPage(): string {
  const parts = [
    `# The protocol of a link, version ${PROTOCOL_VERSION}`,
    'What crosses a link between the drill (the simulator) and a board (your motor controller, or a program that stands for one). Written by `npm run protocol` from the declarations in `src/protocol`; do not edit, every test run compares it. `phantom_link.h` beside it is the same in C.',
    '## Life of a link',
    LIFE,
    table(['frame', 'id', 'sent by', 'when', 'then'], whenRows()),
    'Whoever does not answer in time is lost, with the cause in words: silence is never an answer. The drill then opens all legs. A board that hears nothing does what its own watchdog says.',
    ...wire(),
    ...checksum(),
    '## Limits',
    table(['what', 'most'], limits()),
    'A receiver has one buffer of fixed size and a constant amount of work per byte. It takes a stream in pieces of any length and can be put in front of any noise. What it drops, it counts by cause:',
    table(
      ['counter', 'in words', 'cause'],
      DROP_CAUSES.map((cause) => [cause, DROP_TEXT[cause], DROPPED[cause]]),
    ),
    EVOLUTION,
    '## Frames',
    'Every field stands at the byte named, low byte first, without gaps. `u8`, `u16`, `u32` are unsigned counts, `f32` is IEEE 754 binary32. Reserved bytes are sent as 0 and not read.',
    ...FRAMES.map(frameTable),
    helloTable(),
  ];
  return `${parts.join('\n\n')}\n`;
}

function whenRows(): string[][] {
  const [first, ...others] = FRAMES;
  const hello = { name: 'Hello', id: HELLO_ID, from: 'board' } as const;
  return [first, hello, ...others].map((each: Pick<Frame, 'name' | 'id' | 'from'>) => {
    const line = WHEN[each.name];
    if (!line) throw new RangeError(`the page does not say when ${each.name} is sent`);
    return [each.name, idText(each.id), senderText(each.from), ...line];
  });
}

function wire(): string[] {
  const stream = new StreamSender(BYE.bytes);
  const message = new MessageSender(BYE.bytes);
  const wrapped = (sender: StreamSender | MessageSender) =>
    bytesText(sender.wrap(BYE.id, codecOf(BYE).encode({ reason: BYE_DONE }, sender.packet, PAYLOAD_AT)));
  return [
    '## On the wire',
    'A **packet** is id (1 byte), payload, checksum (2 bytes, low byte first) over id and payload. Numbers in payloads are little-endian; only Hello is MessagePack, whose numbers are big-endian.',
    'On a **link that keeps message borders** (WebSocket) a packet is one binary message, as it is. A Bye with reason 0:',
    `\`\`\`\n${wrapped(message)}\n\`\`\``,
    'On a **stream** (serial line, TCP, standard input and output) every packet is stuffed, so that it holds no 0x00, and stands between two 0x00. The one in front ends whatever noise came before; the one behind hands the packet over at once. Two 0x00 in a row mean nothing. The same Bye:',
    `\`\`\`\n${wrapped(stream)}\n\`\`\``,
    'Stuffing is COBS (S. Cheshire, M. Baker: Consistent Overhead Byte Stuffing, IEEE/ACM Transactions on Networking 7(2), 1999): it adds one byte, and one more per 254. One fault in a stream, a flipped bit or a lost or added byte, costs two frames at most.',
    'A board writes MessagePack and never has to read it: all that the drill sends has a fixed layout. Of the format it needs fixmap or map 16 (`de`), fixarray or array 16 (`dc`), str 8 (`d9`), uint 16 (`cd`), float 32 (`ca`), false and true (`c2`, `c3`).',
  ];
}

function checksum(): string[] {
  const check = (bytes: number[]) => `0x${crc16(Uint8Array.from(bytes)).toString(16).toUpperCase().padStart(4, '0')}`;
  const digits = Array.from('123456789', (letter) => letter.charCodeAt(0));
  return [
    '## Checksum',
    'CRC-16/IBM-3740, which other catalogues call CRC-16/CCITT-FALSE or CRC-16/AUTOSAR:',
    table(
      ['width', 'polynomial', 'start', 'input and output reflected', 'final inversion', 'check of "123456789"'],
      [['16', '0x1021', '0xFFFF', 'no', 'none', check(digits)]],
    ),
    `Further: \`00 00 00 00\` gives ${check([0, 0, 0, 0])}, \`f2 01 83\` gives ${check([0xf2, 0x01, 0x83])}. One, two or three flipped bits in a packet of fixed layout never pass. Of packets that are nothing but chance one in 65536 passes; it still has to have a known id and a length that fits it.`,
  ];
}

function limits(): string[][] {
  return [
    ['payload of any frame but Hello', `${PAYLOAD_MOST} bytes`],
    ['Hello', `${HELLO_BYTES_MOST} bytes, nested ${HELLO_DEPTH_MOST} levels deep`],
    ['packet around its payload', `${PACKET_EXTRA} bytes`],
    ['text of a Note or Refuse', `${TEXT_MOST} bytes`],
    ['watch values of a Drive or Report', `${WATCH_MOST}, as many as Hello names, in every frame`],
    ['frames unanswered (Hello.credits)', `${CREDITS_MOST}`],
  ];
}

function bytesText(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join(' ');
}
