/**
 * What a serial line can carry. A byte takes ten bit times: start bit, eight data bits, stop bit. A USB board behind a CDC
 * class has no bit times, and the rate set is only a number to it; for such a board any higher rate may be written.
 */
import { cobsMost } from '../protocol/cobs.ts';
import { BEAT, DRIVE, REPORT, SCENE, SENSE } from '../protocol/frames.ts';
import { PACKET_EXTRA } from '../protocol/packet.ts';

const BITS_A_BYTE = 10;
const DELIMITERS = 2;
/** Bytes of a float32 watch value. */
const WATCH_BYTES = 4;
/** Share of a line that may be asked for in wall time; the rest is for what comes in bursts. Common practice, no source. */
export const LINE_SHARE_MOST = 0.8;
/** Signs of life, each asked and answered, from both sides [Hz]. */
const BEATS_HZ = 8;

/** Most bytes that a frame of `payload` bytes takes on a stream, stuffing and delimiters included. */
export function streamBytes(payload: number): number {
  return cobsMost(payload + PACKET_EXTRA) + DELIMITERS;
}

export interface LineUse {
  /** Rate of the line [Bd]. */ readonly baud: number;
  /** Values in Hello.watch. */ readonly watchCount: number;
}

export interface LineLoad {
  /** Bytes a second to the board. */ readonly toBoard_Hz: number;
  /** Bytes a second from the board. */ readonly fromBoard_Hz: number;
  /** Share of the line that the busier direction needs; more than 1 cannot be carried. */ readonly share: number;
}

/** What Scene and Report at `rate_Hz` ask of a line. The PWM frequency plays no part: the fast loops stay on the board. */
export function rateSplitLoad({ baud, watchCount }: LineUse, rate_Hz: number): LineLoad {
  const beats_Hz = BEATS_HZ * streamBytes(BEAT.bytes);
  const toBoard_Hz = rate_Hz * streamBytes(SCENE.bytes) + beats_Hz;
  const fromBoard_Hz = rate_Hz * streamBytes(REPORT.bytes + WATCH_BYTES * watchCount) + beats_Hz;
  return { toBoard_Hz, fromBoard_Hz, share: (Math.max(toBoard_Hz, fromBoard_Hz) * BITS_A_BYTE) / baud };
}

/** Why a line cannot carry rate-split at this rate, with the numbers; undefined when it can. */
export function rateSplitProblem(use: LineUse, rate_Hz: number): string | undefined {
  const { toBoard_Hz, fromBoard_Hz, share } = rateSplitLoad(use, rate_Hz);
  if (share <= LINE_SHARE_MOST) return undefined;
  const most_Hz = Math.max(toBoard_Hz, fromBoard_Hz);
  const needed = Math.ceil((most_Hz * BITS_A_BYTE) / LINE_SHARE_MOST);
  const beats_Hz = BEATS_HZ * streamBytes(BEAT.bytes);
  const frame_bytes = (most_Hz - beats_Hz) / rate_Hz;
  const slower_Hz = Math.floor((LINE_SHARE_MOST * (use.baud / BITS_A_BYTE) - beats_Hz) / frame_bytes);
  return (
    `${rate_Hz} frames a second need ${Math.round(toBoard_Hz)} bytes/s to the board and ${Math.round(fromBoard_Hz)} from it, ` +
    `${percent(share)} of a line of ${use.baud} Bd; allowed is ${percent(LINE_SHARE_MOST)}. ` +
    `Set both sides to ${needed} Bd or more, or take at most ${slower_Hz} frames a second. ` +
    'A USB board that ignores the rate carries more: write a higher one for it'
  );
}

/**
 * Exchanges a second that the bits alone allow in lock-step, the board and both computers taking no time. The PWM frequency
 * sets how many exchanges a virtual second has, so this over it is the most that virtual time can run at of wall time.
 */
export function lockStepCeiling_Hz({ baud, watchCount }: LineUse): number {
  const bytes = streamBytes(SENSE.bytes) + streamBytes(DRIVE.bytes + WATCH_BYTES * watchCount);
  return baud / (BITS_A_BYTE * bytes);
}

/** The ceiling in words, for a screen or a report. */
export function lockStepWords(use: LineUse): string {
  return `at most ${Math.floor(lockStepCeiling_Hz(use))} exchanges a second on a line of ${use.baud} Bd`;
}

const percent = (share: number): string => `${Math.round(share * 100)} %`;
