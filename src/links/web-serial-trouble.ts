/**
 * Errors of a serial line that end a stream and not the port, counted by name. A few now and then are noise; several in a
 * second mean that both sides do not run at the same rate, or that a wire is loose.
 */

/** Names that the standard of Web Serial gives them, and what each means. */
export const LINE_ERRORS = Object.freeze({
  BufferOverrunError: 'bytes came faster than they were taken',
  BreakError: 'the line was held low for longer than a byte',
  FramingError: 'a stop bit was missing',
  ParityError: 'a parity bit was wrong',
  UnknownError: 'the driver reported an error without a name',
});
export type LineError = keyof typeof LINE_ERRORS;

/** This many within a second are more than noise. */
const BURST = 5;
const BURST_MS = 1000;
const QUESTION = 'baud or wiring?';

export class LineTrouble {
  readonly counts: Record<LineError, number> = {
    BufferOverrunError: 0,
    BreakError: 0,
    FramingError: 0,
    ParityError: 0,
    UnknownError: 0,
  };
  /** Bursts seen. */ bursts = 0;
  private readonly recent = new Float64Array(BURST).fill(Number.NEGATIVE_INFINITY);
  private next = 0;

  /** Counts an error at `now_ms`; true when it completes a burst. A name that is not listed counts as unknown. */
  note(name: string, now_ms: number): boolean {
    this.counts[Object.hasOwn(LINE_ERRORS, name) ? (name as LineError) : 'UnknownError']++;
    this.recent[this.next] = now_ms;
    this.next = (this.next + 1) % BURST;
    if (now_ms - this.recent[this.next] > BURST_MS) return false; // the oldest of the last five
    this.recent.fill(Number.NEGATIVE_INFINITY);
    this.bursts++;
    return true;
  }

  /** What was counted, in words; empty when nothing was. */
  words(): string {
    const names = (Object.keys(LINE_ERRORS) as LineError[]).filter((name) => this.counts[name] > 0);
    if (names.length === 0) return '';
    const list = names.map((name) => `${this.counts[name]} ${name} (${LINE_ERRORS[name]})`).join(', ');
    return `${list}${this.bursts > 0 ? `; ${QUESTION}` : ''}`;
  }
}
