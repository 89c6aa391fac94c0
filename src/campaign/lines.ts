/**
 * The lines of a result file: a head, one line for each run, and an end once all are there. Each carries the checksum of
 * its own text, so that a line that was cut off or changed is known.
 */
import { crc32 } from './crc32.ts';
import type { PointResult, ResultHead } from './results.ts';

export interface ResultEnd {
  readonly end: true;
  /** Lines of runs before this one. */ readonly runs: number;
}

const SEALED = /^(.*),"crc32":"([0-9a-f]{8})"\}$/s;

/** One line without its line feed. Numbers that JSON does not have become null. */
export function seal(content: PointResult | ResultHead | ResultEnd): string {
  const text = JSON.stringify(content);
  return `${text.slice(0, -1)},"crc32":"${crc32(text)}"}`;
}

/** What a line holds, undefined when its checksum does not fit. */
export function unseal(line: string): PointResult | ResultHead | ResultEnd | undefined {
  const match = SEALED.exec(line);
  if (!match) return undefined;
  const text = `${match[1]}}`;
  if (crc32(text) !== match[2]) return undefined;
  return JSON.parse(text) as PointResult | ResultHead | ResultEnd;
}

export const isHead = (line: unknown): line is ResultHead =>
  (line as ResultHead | undefined)?.format === 'campaign results';
export const isEnd = (line: unknown): line is ResultEnd => (line as ResultEnd | undefined)?.end === true;
export const isPoint = (line: unknown): line is PointResult =>
  typeof (line as PointResult | undefined)?.point === 'number';
