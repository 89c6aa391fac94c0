/** What stands in the fields of the sheet, and what it asks for. Fields hold text; what is no number is refused in words. */
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { fromDisplay } from '../../src/units/convert.ts';
import type { FaultAsk, FaultRow, FaultWhen } from '../../worker/api.ts';
import { WORDS } from './words.ts';

export interface Draft {
  readonly leg: 'a' | 'b' | 'c';
  /** In the unit of the fault. */ readonly size: string;
  readonly shape: 'step' | 'ramp' | 'intermittent';
  /** Seconds, all of them. */
  readonly over: string;
  readonly on: string;
  readonly off: string;
  readonly when: FaultWhen['kind'];
  readonly after: string;
  readonly at: string;
  readonly held: string;
  /** Seconds; empty for ever. */ readonly stays: string;
  readonly signal: SignalId;
  readonly side: 'above' | 'below';
  /** In the unit of the signal. */ readonly value: string;
}

/** Digits of a usual size: some are round in SI only. */
const USUAL_DIGITS = 3;

/** The fields of a fault before anybody has touched them. */
export function freshDraft(row: FaultRow): Draft {
  return {
    leg: 'a',
    size: row.size ? String(Number(row.size.usual.toPrecision(USUAL_DIGITS))) : '',
    shape: 'step',
    over: '1',
    on: '0.05',
    off: '0.05',
    when: 'at once',
    after: '1',
    at: '10',
    held: '0',
    stays: '',
    signal: 'currentQ',
    side: 'above',
    value: '10',
  };
}

/** What the fields ask for, SI. Throws RangeError in words when one of them holds no number. */
export function askOf(row: FaultRow, draft: Draft): FaultAsk {
  const { size } = row;
  return {
    fault: row.id,
    ...(size ? { size: number(WORDS.size, draft.size) * size.factor } : {}),
    ...(row.legs ? { leg: draft.leg } : {}),
    ...(draft.stays.trim() === '' ? {} : { for_s: number(WORDS.stays, draft.stays) }),
    shape: shapeOf(draft),
    when: whenOf(draft),
  };
}

function shapeOf({ shape, over, on, off }: Draft): NonNullable<FaultAsk['shape']> {
  if (shape === 'step') return { kind: 'step' };
  if (shape === 'ramp') return { kind: 'ramp', over_s: number(WORDS.over, over) };
  return { kind: 'intermittent', on_s: number(WORDS.on, on), off_s: number(WORDS.off, off) };
}

function whenOf({ when, after, at, signal, side, value, held }: Draft): FaultWhen {
  if (when === 'at once') return { kind: 'at once' };
  if (when === 'after') return { kind: 'after', after_s: number(WORDS.after, after) };
  if (when === 'at') return { kind: 'at', at_s: number(WORDS.at, at) };
  const { show } = SIGNALS[SIGNAL_INDEX[signal]];
  return {
    kind: 'when',
    signal,
    side,
    value: fromDisplay(number(WORDS.value, value), show),
    held_s: number(WORDS.held, held),
  };
}

/** A number as people write it: a real minus and a comma for the point are fine. */
function number(field: string, text: string): number {
  const plain = text.trim().replace('\u2212', '-').replace(',', '.');
  const value = Number(plain);
  if (plain === '' || !Number.isFinite(value)) throw new RangeError(WORDS.noNumber(field, text));
  return value;
}
