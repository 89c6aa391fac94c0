/** Reads what a page, a lesson or a link asks for: everything in it is checked, and what is wrong is said in words. */
import { FAULTS } from '../src/faults/catalogue.ts';
import type { FaultEntry } from '../src/faults/entry.ts';
import { faultOrder } from '../src/faults/order.ts';
import type { Shape } from '../src/faults/shape.ts';
import { KINDS } from '../src/scenario/kinds.ts';
import { suggestion } from '../src/scenario/nearest.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId, signalPhrase } from '../src/signals.ts';
import { toDisplay, unitSymbol } from '../src/units/convert.ts';
import type { FaultAsk, FaultWhen, LiveOrder } from './fault-api.ts';

const NOW: FaultWhen = { kind: 'at once' };
const STEP: Shape = { kind: 'step' };
const [, LONGEST_S] = KINDS.moment.range;
const [RAMP_LEAST_S] = KINDS.ramp.range;
const [STAY_LEAST_S] = KINDS.stay.range;
/** A share of a range that is rounding of a unit. */
const ROUNDING = 1e-12;

/** Completes and freezes what was asked. Throws RangeError saying what is wrong, and what is allowed. */
export function liveOrder(ask: FaultAsk): LiveOrder {
  const entry = Object.hasOwn(FAULTS, ask.fault) ? FAULTS[ask.fault] : undefined;
  if (!entry)
    throw refused(`fault '${ask.fault}' is not in the catalogue; ${suggestion(ask.fault, Object.keys(FAULTS))}`);
  const { leg } = ask;
  if (leg !== undefined && !['a', 'b', 'c'].includes(leg))
    throw refused(`${entry.name}: leg '${leg}' is not known; allowed are a, b, c`);
  const shape = readShape(entry, ask.shape ?? STEP);
  const when = readWhen(entry, ask.when ?? NOW);
  const { for_s } = ask;
  if (for_s !== undefined) time(entry, 'time for which it stays', for_s, STAY_LEAST_S);
  const size = readSize(entry, ask.size);
  const { size: full, ...order } = faultOrder({
    fault: entry.id,
    size,
    leg,
    shape,
    for_s,
    begin: { kind: 'at', at_s: 0 },
  });
  return Object.freeze({ fault: order.fault, leg, shape, when, for_s, size: full });
}

/** A size in its range; a value that is outside by rounding of its unit is the end of the range. */
function readSize({ name, size }: FaultEntry, asked: number | undefined): number | undefined {
  if (asked === undefined || !size) return asked;
  const { low, high, show, doc } = size;
  const slack = ROUNDING * Math.max(Math.abs(low), Math.abs(high));
  if (asked >= low - slack && asked <= high + slack) return Math.min(Math.max(asked, low), high);
  const [is, from, to] = [asked, low, high].map((value) => amount(value, show));
  throw refused(`${name}: size is ${is}; allowed is ${from} to ${to} (${doc})`);
}

function readShape(entry: FaultEntry, shape: Shape): Shape {
  if (shape.kind === 'step') return STEP;
  if (shape.kind === 'ramp') {
    return Object.freeze({ kind: 'ramp', over_s: time(entry, 'time over which it grows', shape.over_s, RAMP_LEAST_S) });
  }
  if (shape.kind !== 'intermittent')
    throw refused(`${entry.name}: shape '${(shape as Shape).kind}' is not known; allowed are step, ramp, intermittent`);
  const on_s = time(entry, 'time for which it comes', shape.on_s, STAY_LEAST_S);
  return Object.freeze({
    kind: 'intermittent',
    on_s,
    off_s: time(entry, 'time for which it goes', shape.off_s, STAY_LEAST_S),
  });
}

function readWhen(entry: FaultEntry, when: FaultWhen): FaultWhen {
  switch (when.kind) {
    case 'at once':
      return NOW;
    case 'after':
      return Object.freeze({ kind: 'after', after_s: time(entry, 'time after firing', when.after_s, 0) });
    case 'at':
      if (!(Number.isFinite(when.at_s) && when.at_s >= 0))
        throw refused(`${entry.name}: moment is ${when.at_s} s; allowed is 0 or later`);
      return Object.freeze({ kind: 'at', at_s: when.at_s });
    case 'when':
      return condition(entry, when);
    default:
      throw refused(
        `${entry.name}: moment '${(when as FaultWhen).kind}' is not known; allowed are at once, after, at, when`,
      );
  }
}

function condition(entry: FaultEntry, { signal, side, value, held_s }: FaultWhen & { kind: 'when' }): FaultWhen {
  if (!Object.hasOwn(SIGNAL_INDEX, signal))
    throw refused(`${entry.name}: signal '${signal}' is not known; ${suggestion(signal, Object.keys(SIGNAL_INDEX))}`);
  if (side !== 'above' && side !== 'below')
    throw refused(`${entry.name}: side '${side}' is not known; allowed are above, below`);
  if (!Number.isFinite(value))
    throw refused(`${entry.name}: value of the condition is ${value}; allowed is any number`);
  return Object.freeze({
    kind: 'when',
    signal,
    side,
    value,
    held_s: time(entry, 'time for which it holds', held_s, 0),
  });
}

function time({ name }: FaultEntry, what: string, value_s: number, least_s: number): number {
  if (Number.isFinite(value_s) && value_s >= least_s && value_s <= LONGEST_S) return value_s;
  throw refused(`${name}: ${what} is ${value_s} s; allowed is ${least_s} s to ${LONGEST_S} s`);
}

const refused = (text: string): RangeError => new RangeError(text);

/** Size, shape and moment of an order, in words. */
export function orderWords({ fault, size, shape, when, for_s }: LiveOrder): string {
  const entry = FAULTS[fault];
  const parts = entry.size ? [amount(size, entry.size.show)] : [];
  if (shape.kind === 'ramp') parts.push(`grows over ${span(shape.over_s)}`);
  if (shape.kind === 'intermittent') parts.push(`comes for ${span(shape.on_s)}, goes for ${span(shape.off_s)}`);
  if (for_s !== undefined) parts.push(`for ${span(for_s)}`);
  if (when.kind === 'after') parts.push(`${span(when.after_s)} after firing`);
  if (when.kind === 'at') parts.push(`at ${rounded(when.at_s)} s of the run`);
  if (when.kind === 'when') parts.push(conditionWords(when));
  return parts.join(', ');
}

function conditionWords({ signal, side, value, held_s }: FaultWhen & { kind: 'when' }): string {
  const id = signal as SignalId;
  const { show } = SIGNALS[SIGNAL_INDEX[id]];
  const held = held_s > 0 ? ` for ${span(held_s)}` : '';
  return `when ${signalPhrase(id)} is ${side} ${amount(value, show)}${held}`;
}

const MINUS = '\u2212';
const rounded = (value: number): string => String(Number(value.toPrecision(6)));

/** An SI value in the unit that people read. */
function amount(value: number, show: string): string {
  const number = rounded(toDisplay(value, show)).replace('-', MINUS);
  return show === '' ? number : `${number}\u00a0${unitSymbol(show)}`;
}

function span(value_s: number): string {
  if (value_s >= 1) return amount(value_s, 's');
  return value_s >= 1e-3 ? amount(value_s, 'ms') : amount(value_s, 'us');
}
