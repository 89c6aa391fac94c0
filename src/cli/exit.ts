/** Exit codes, so that a failed check, a broken set-up and a lost link are told apart by a script. */
import type { RunVerdict } from '../runner/play.ts';

export const EXIT_PASSED = 0;
export const EXIT_FAILED = 1;
export const EXIT_SET_UP = 2;
export const EXIT_LOST = 3;

export type FileVerdict = RunVerdict | 'set-up error';

/** Exit code of one run. An invalid run did not pass; only a lost controller is something else. */
export function exitOf(verdict: FileVerdict): number {
  switch (verdict) {
    case 'passed':
      return EXIT_PASSED;
    case 'controller lost':
      return EXIT_LOST;
    case 'set-up error':
      return EXIT_SET_UP;
    default:
      return EXIT_FAILED;
  }
}

/** Exit code of several runs: a broken set-up outranks a lost controller, which outranks a failed check. */
export function worstExit(codes: readonly number[]): number {
  return [EXIT_SET_UP, EXIT_LOST, EXIT_FAILED].find((code) => codes.includes(code)) ?? EXIT_PASSED;
}
