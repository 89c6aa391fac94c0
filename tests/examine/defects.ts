/** Boards with one defect each, as real firmware has shown them, and the examination that must name it. */

import type { Terms } from '../../src/examine/subject.ts';
import { acceptedByBoard } from '../../src/protocol/accepted.ts';
import { cobsDecode } from '../../src/protocol/cobs.ts';
import { blankSense, decodeSense, encodeDrive } from '../../src/protocol/codec.ts';
import {
  BEAT,
  BYE,
  DRIVE,
  DUTY_FULL,
  GATE_A,
  GATE_B,
  GREET,
  HELLO_ID,
  REFUSE,
  SENSE,
  SENSE_BOOT,
  STATE_READY,
  STATE_STARTING,
  STATE_TRIPPED,
  TRIP_STALL,
  WELCOME,
} from '../../src/protocol/frames.ts';
import { encodeHello } from '../../src/protocol/hello.ts';
import { PACKET_EXTRA, PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { around, type Board, emptyDrive, type Say, served, sound } from './boards.ts';

export interface Defect {
  readonly name: string;
  /** Examinations that must come out as `mend`, all others must not. */ readonly mends: readonly string[];
  readonly make: (say: Say) => Board;
  /** Waits of the examination, where the defect needs longer ones. */ readonly terms?: Partial<Terms>;
  /** Name of the wire; some defects harm one kind only. */ readonly wire?: string;
}

/** Frames of a chunk, by id, as a healthy receiver sees them. */
function idsIn(chunk: Uint8Array): number[] {
  const ids: number[] = [];
  new StreamReceiver(acceptedByBoard(), (id) => ids.push(id)).push(chunk);
  return ids;
}

/** A frame of `id` as the board would send it. */
const framed = (id: number, payload: Uint8Array): Uint8Array => new StreamSender(4096).wrapCopy(id, payload).slice();

const emptyDriveFrame = (): Uint8Array => {
  const payload = new Uint8Array(256);
  return framed(DRIVE.id, payload.subarray(0, encodeDrive(emptyDrive(), payload)));
};

/** A sound board that hears through `ears`. */
const hearing = (ears: (chunk: Uint8Array, board: Board, say: Say) => void) => (say: Say) => {
  const board = served(sound(), say);
  return { take: (chunk: Uint8Array) => ears(chunk, board, say) };
};

/** A sound board that is deaf from the first frame of `id` on. */
const haltsAfter = (id: number) => {
  return (say: Say): Board => {
    const board = served(sound(), say);
    let halted = false;
    return {
      take(chunk) {
        if (idsIn(chunk).includes(id)) halted = true;
        if (!halted) board.take(chunk);
      },
    };
  };
};

/** Id of the first frame in what a board says, whose delimiter and first code come before it. */
const idSaid = (bytes: Uint8Array): number => bytes[2];

export const DEFECTS: readonly Defect[] = [
  {
    name: 'answers the tick after the one asked',
    mends: ['one-drive'],
    make: (say) =>
      served(
        around((_sense, drive, inner) => {
          inner();
          drive.tick++;
        }),
        say,
      ),
  },
  {
    name: 'answers every Sense twice',
    mends: ['one-drive', 'repeated-frame'],
    make: (say) =>
      served(sound(), (bytes) => {
        say(bytes);
        if (idSaid(bytes) === DRIVE.id) say(bytes);
      }),
  },
  {
    name: 'never answers a Sense',
    mends: ['one-drive'],
    make: (say) =>
      served(sound(), (bytes) => {
        if (idSaid(bytes) !== DRIVE.id) say(bytes);
      }),
  },
  {
    name: 'takes one read for one frame',
    mends: ['split', 'repeated-frame'],
    make: (say) => {
      const controller = sound();
      return { take: (chunk) => served(controller, say).take(chunk) };
    },
  },
  {
    name: 'drops half a frame after 100 ms without a byte',
    mends: ['split'],
    make: (say) => {
      const controller = sound();
      let board = served(controller, say);
      let heard_ms = performance.now();
      return {
        take(chunk) {
          if (performance.now() - heard_ms > 100) board = served(controller, say);
          heard_ms = performance.now();
          board.take(chunk);
        },
      };
    },
  },
  {
    name: 'forgets what stands behind the first frame of a read',
    mends: ['beat', 'merged'],
    make: hearing((chunk, board) => {
      let frames = 0;
      for (let k = 0; k < chunk.length && frames === 0; k++) {
        board.take(chunk.subarray(k, k + 1));
        if (chunk[k] === 0 && k > 0 && chunk[k - 1] !== 0) frames = idsIn(chunk.subarray(0, k + 1)).length;
      }
    }),
  },
  {
    name: 'stops at bytes that are no frame',
    mends: ['garbage', 'oversized'],
    make: (say) => {
      const controller = sound();
      const receiver = new StreamReceiver(acceptedByBoard(), () => undefined);
      const board = served(controller, say);
      return {
        take(chunk) {
          receiver.push(chunk);
          if (receiver.drops.tooLong > 0) throw new Error('buffer overrun');
          board.take(chunk);
        },
      };
    },
  },
  {
    name: 'checks no checksum',
    mends: ['flipped', 'repeated-frame'],
    make: (say) => {
      const board = served(sound(), say);
      const controller = sound();
      const sense = blankSense();
      const drive = emptyDrive();
      const payload = new Uint8Array(256);
      const rest: number[] = [];
      const packet = new Uint8Array(8192);
      return {
        take(chunk) {
          for (const byte of chunk) {
            if (byte !== 0) {
              if (rest.length < packet.length) rest.push(byte);
              continue;
            }
            const piece = Uint8Array.from(rest.splice(0));
            const length = cobsDecode(piece, 0, piece.length, packet);
            const isSense = length === SENSE.bytes + PACKET_EXTRA && packet[0] === SENSE.id;
            if (!isSense) board.take(Uint8Array.of(0, ...piece, 0));
            else if (decodeSense(packet, sense, PAYLOAD_AT, SENSE.bytes) === 'ok') {
              controller.tick(sense, drive);
              say(framed(DRIVE.id, payload.subarray(0, encodeDrive(drive, payload))));
            }
          }
        },
      };
    },
  },
  {
    name: 'answers what it does not know',
    mends: ['unknown-frame'],
    make: hearing((chunk, board, say) => {
      const ids: number[] = [];
      const accepted = [{ id: 0x7e, least: 0, most: 256 }];
      new StreamReceiver(accepted, (id) => ids.push(id)).push(chunk);
      if (ids.length > 0) say(emptyDriveFrame());
      board.take(chunk);
    }),
  },
  {
    name: 'answers no Beat',
    mends: ['beat', 'merged'],
    make: (say) =>
      served(sound(), (bytes) => {
        if (idSaid(bytes) !== BEAT.id) say(bytes);
      }),
  },
  {
    name: 'says Hello at its start only',
    mends: ['hello'],
    make(say) {
      const board = served(sound(), say);
      board.take(framed(GREET.id, new Uint8Array(4)));
      return { take: (chunk) => !idsIn(chunk).includes(GREET.id) && board.take(chunk) };
    },
  },
  {
    name: 'has another uid at every Greet',
    mends: ['hello', 'refuse', 'bye'],
    make(say) {
      const { hello } = sound();
      let times = 0;
      return served(sound(), (bytes) => {
        if (idSaid(bytes) !== HELLO_ID) say(bytes);
        else say(framed(HELLO_ID, encodeHello({ ...hello, uid: `try ${times++}` })));
      });
    },
  },
  {
    name: 'has a watchdog on the clock of the wall',
    mends: ['wall-pause'],
    terms: { pause_s: 2 },
    make: (say) => {
      let last_ms = performance.now();
      let expired = false;
      return served(
        around((sense, drive, inner) => {
          inner();
          if ((sense.flags & SENSE_BOOT) !== 0) expired = false;
          else if (performance.now() - last_ms > 1500) expired = true;
          last_ms = performance.now();
          if (expired) Object.assign(drive, { state: STATE_TRIPPED, trip: TRIP_STALL, gates: 0 });
        }),
        say,
      );
    },
  },
  {
    name: 'ignores SENSE_BOOT',
    mends: ['power-cycle'],
    make: (say) =>
      served(
        around((sense, _drive, inner) => {
          sense.flags &= ~SENSE_BOOT;
          inner();
        }),
        say,
      ),
  },
  {
    name: 'measures its offsets at the first boot only',
    mends: ['power-cycle'],
    make: (say) => {
      let started = false;
      return served(
        around((_sense, drive, inner) => {
          inner();
          if (drive.state !== STATE_STARTING) started = true;
          else if (started && drive.tick % 4 === 0) drive.state = STATE_READY;
        }),
        say,
      );
    },
  },
  {
    name: 'takes a smaller tick for a fault',
    mends: ['tick-wrap'],
    make: (say) => {
      let last = 0;
      let faulty = false;
      return served(
        around((sense, drive, inner) => {
          if ((sense.flags & SENSE_BOOT) !== 0) faulty = false;
          else if (sense.tick < last) faulty = true;
          last = sense.tick;
          inner();
          if (faulty) Object.assign(drive, { state: STATE_TRIPPED, trip: TRIP_STALL, gates: 0 });
        }),
        say,
      );
    },
  },
  {
    name: 'counts frames instead of ticks',
    mends: ['lost-frame'],
    make: (say) => {
      let count = 0;
      return served(
        around((sense, drive, inner) => {
          const { tick } = sense;
          sense.tick = count++;
          inner();
          drive.tick = tick;
        }),
        say,
      );
    },
  },
  {
    name: 'prints text on the same stream',
    mends: ['clean'],
    make: (say) => {
      let answers = 0;
      return served(sound(), (bytes) => {
        say(bytes);
        if (answers++ % 100 === 50) say(new TextEncoder().encode('adc ok\r\n'));
      });
    },
  },
  {
    name: 'drives with the trigger released',
    mends: ['released'],
    make: (say) =>
      served(
        around((_sense, drive, inner) => {
          inner();
          if (drive.state === STATE_READY)
            Object.assign(drive, { gates: GATE_A | GATE_B, dutyA: DUTY_FULL / 4, dutyB: 0 });
        }),
        say,
      ),
  },
  {
    name: 'sends exactly 64 bytes',
    wire: 'serial:/dev/none',
    mends: ['sizes'],
    make: (say) =>
      served(sound(), (bytes) => {
        if (idSaid(bytes) !== DRIVE.id) say(bytes);
        else say(Uint8Array.from({ length: 64 }, (_, k) => bytes[k] ?? 0));
      }),
  },
  {
    name: 'loses a write of exactly n x 64 bytes',
    mends: ['sizes'],
    make: hearing((chunk, board) => {
      if (chunk.length % 64 !== 0 || chunk.length > 512 || chunk[63] !== 0) board.take(chunk);
    }),
  },
  {
    name: 'answers Welcome',
    mends: ['welcome', 'refuse', 'bye'],
    make: hearing((chunk, board, say) => {
      board.take(chunk);
      if (idsIn(chunk).some((id) => id === WELCOME.id || id === REFUSE.id || id === BYE.id)) say(emptyDriveFrame());
    }),
  },
  { name: 'halts after Refuse', mends: ['refuse'], make: haltsAfter(REFUSE.id) },
  { name: 'halts after Bye', mends: ['bye'], make: haltsAfter(BYE.id) },
  {
    name: 'stalls for more than half of the time allowed',
    mends: ['timing'],
    terms: { answer_s: 2 },
    make: (say) => {
      // Once, in the examination behind Bye: the tests shall not wait for it everywhere.
      let answersSinceBye = Number.NaN;
      const board = served(sound(), (bytes) => {
        const copy = bytes.slice();
        if (idSaid(bytes) === DRIVE.id && ++answersSinceBye === 300) setTimeout(() => say(copy), 1200);
        else say(copy);
      });
      return {
        take(chunk) {
          if (idsIn(chunk).includes(BYE.id)) answersSinceBye = 0;
          board.take(chunk);
        },
      };
    },
  },
];
