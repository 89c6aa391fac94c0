/** What goes over the port between the drill worker and the recorder worker. Rows are transferred, never copied. */
import type { Column, RunEnd, RunHeader } from '../src/recorder/header.ts';

/** To the recorder. Numbers of a row: its tick, then a value for each column. */
export type ToRecorder =
  | {
      readonly kind: 'begin';
      readonly run: RunHeader;
      readonly columns: readonly Column[];
      readonly tick_s: number;
      readonly every: number;
    }
  | { readonly kind: 'rows'; readonly rows: number; readonly numbers: Float64Array<ArrayBuffer> }
  | { readonly kind: 'end'; readonly run: RunEnd }
  /** Nothing comes: the drill refused it. */
  | { readonly kind: 'none' };

/** Back to the drill: numbers to write into again, or that nothing more is taken. */
export type ToDrill =
  | { readonly kind: 'empty'; readonly numbers: Float64Array<ArrayBuffer> }
  | { readonly kind: 'over'; readonly why: string };

/** Rows that travel together: 51 ms at 20 kHz. */
export const ROWS_TOGETHER = 1024;
