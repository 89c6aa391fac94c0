/** Why a WebSocket was closed, in words: the codes of RFC 6455, section 7.4.1, and our own from the private range. */
import { shown } from './shown.ts';

/** Close codes of the bridge; each goes with a reason in words. */
export const CLOSE_BUSY = 4001;
export const CLOSE_TOKEN = 4002;
/** Text where binary messages are due. */
export const CLOSE_TEXT_CAME = 4003;
export const CLOSE_BOARD_LOST = 4004;
export const CLOSE_SLOW = 4005;
/** A message longer than any link carries; from a page, which may not send 1009. */
export const CLOSE_TOO_LONG = 4006;

const TEXT: Readonly<Record<number, string>> = Object.freeze({
  1000: 'the other side closed the connection',
  1001: 'the other side went away',
  1002: 'the other side saw a breach of the WebSocket protocol',
  1003: 'the other side does not take this kind of message',
  1005: 'the other side closed the connection without a reason',
  1006: 'the connection broke without a farewell: the other side ended, or the network did',
  1007: 'the other side saw text that is not UTF-8',
  1008: 'the other side refuses by its rules',
  1009: 'a message was longer than the other side takes',
  1011: 'the other side met a failure of its own',
  1012: 'the other side starts anew',
  1013: 'the other side is overloaded',
  1015: 'the encryption could not be agreed',
  [CLOSE_BUSY]: 'the board is in use',
  [CLOSE_TOKEN]: 'the token of the address is not valid',
  [CLOSE_TEXT_CAME]: 'the other side takes binary messages only',
  [CLOSE_BOARD_LOST]: 'the bridge has lost its board',
  [CLOSE_SLOW]: 'this side did not take its frames in time',
  [CLOSE_TOO_LONG]: 'a message was longer than the other side takes',
});

/** The code in words, with what the other side said about it. */
export function closeText(code: number, reason = ''): string {
  const said = shown(reason);
  return `${TEXT[code] ?? 'the other side closed the connection'} (code ${code}${said === '' ? '' : `: ${said}`})`;
}

/** Longest reason that a close frame carries [bytes of UTF-8] (RFC 6455, 5.5: 125 with the code). */
const REASON_MOST = 123;

/** Cuts a reason to what a close frame carries, at a character. */
export function closeReason(words: string): string {
  const bytes = new TextEncoder().encode(words);
  if (bytes.length <= REASON_MOST) return words;
  const cut = new TextDecoder().decode(bytes.subarray(0, REASON_MOST - 3)).replace(/\ufffd+$/, '');
  return `${cut}...`;
}
