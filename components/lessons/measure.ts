/** Reads numbers off a record that stands: every period of a span, none left out. */
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import type { Look, Looked, Span } from '../../worker/api.ts';
import type { Reading } from './lesson.ts';

const POINTS = 200_000;

type Values = readonly number[];

/** @param spans of the phases @returns the value [SI], NaN where nothing was read */
export async function measure(
  look: (ask: Look) => Looked | Promise<Looked>,
  reading: Reading,
  spans: readonly Span[],
): Promise<number> {
  const { from_s, to_s } = spans[reading.phase ?? spans.length - 1];
  const begin_s = reading.last_s === undefined ? from_s : Math.max(from_s, to_s - reading.last_s);
  const channels = channelsOf(reading);
  const looked = await look({ run: reading.run ?? 'now', channels, from_s: begin_s, to_s, points: POINTS });
  if (looked.kind !== 'values') throw new RangeError(`${reading.words}: the span is no longer kept period by period`);
  const rows = looked.data.map((data) => [...data]);
  const whole = rows[0].map((_, k) => k).filter((k) => rows.every((row) => !Number.isNaN(row[k])));
  return taken(
    reading,
    rows.map((row) => whole.map((k) => row[k])),
  );
}

function channelsOf({ take, channel }: Reading): SignalId[] {
  if (take === 'line') return [channel, 'rotorAngle'];
  if (take === 'sum') return ['sensedA', 'sensedB', 'sensedC'];
  return take === 'leg error' ? ['poleA', 'dutyA', 'link', 'currentA'] : [channel];
}

function taken({ take, order = 1 }: Reading, rows: readonly Values[]): number {
  const [x] = rows;
  if (x.length === 0) return Number.NaN;
  switch (take) {
    case 'most':
      return x.reduce((most, value) => Math.max(most, value));
    case 'least':
      return x.reduce((least, value) => Math.min(least, value));
    case 'mean':
      return mean(x);
    case 'last':
      return x[x.length - 1];
    case 'change':
      return x[x.length - 1] - x[0];
    case 'line':
      return line(x, rows[1], order);
    case 'sum':
      return rows.reduce((sum, row) => sum + mean(row), 0);
    case 'leg error':
      return legError(rows);
  }
}

const mean = (x: Values): number => x.reduce((sum, value) => sum + value, 0) / x.length;

/** Amplitude of the part that swings `order` times a turn, over whole turns so that nothing else leaks in. */
function line(x: Values, angle_rad: Values, order: number): number {
  const wraps = angle_rad.flatMap((angle, k) => (k > 0 && Math.abs(angle - angle_rad[k - 1]) > Math.PI ? [k] : []));
  if (wraps.length < 2) return Number.NaN;
  const [from, to] = [wraps[0], wraps[wraps.length - 1]];
  const level = mean(x.slice(from, to));
  let [re, im] = [0, 0];
  for (let k = from; k < to; k++) {
    re += (x[k] - level) * Math.cos(order * angle_rad[k]);
    im += (x[k] - level) * Math.sin(order * angle_rad[k]);
  }
  return (2 * Math.hypot(re, im)) / (to - from);
}

/** Current well above its ripple flows in one direction through the whole period. */
const ONE_WAY_A = 8;

/** Half the difference between both signs of the current: the link that ripples within a period is in both alike. */
function legError([pole_V, duty, link_V, current_A]: readonly Values[]): number {
  const short = pole_V.map((pole, k) => duty[k] * link_V[k] - pole);
  const into = short.filter((_, k) => current_A[k] > ONE_WAY_A);
  const out = short.filter((_, k) => current_A[k] < -ONE_WAY_A);
  return (mean(into) - mean(out)) / 2;
}

/** Unit in which a person reads it. A difference of temperatures is kelvin. */
export function unitOf({ channel, take }: Reading): string {
  const { show } = SIGNALS[SIGNAL_INDEX[channel]];
  return take === 'change' && show === '°C' ? 'K' : show;
}
