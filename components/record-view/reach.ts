/** How far the values of a row reach, and the scales that follow from it. */
import { displayUnit } from '../../src/units/convert.ts';
import { RUN_INDEX, type RunName, TICK_INDEX, type TickName } from '../../worker/block.ts';
import type { RunRecord } from '../session/run-record.ts';
import { ROWS, type Row } from '../style/rows.ts';
import type { CloseUp } from './close-up.ts';
import { RUN_SPAN_S } from './layout.ts';
import { chooseScale, type Scale } from './scale.ts';

/** Scales may shrink after this time without need [ms]; they grow at once. */
const SHRINK_MS = 1600;

export interface Reach {
  low: number;
  high: number;
}

/** Which signals decide the scale of a row; rows left out have a fixed one. */
const RUN_CHANNELS: Partial<Record<Row['id'], readonly RunName[]>> = {
  phase: ['phase'],
  axes: ['currentD', 'currentQ'],
  speed: ['electricalSpeed'],
  torque: ['gearTorque'],
};
const CLOSE_CHANNELS: Partial<Record<Row['id'], readonly TickName[]>> = {
  phase: ['currentA', 'currentB', 'currentC'],
  axes: ['currentD', 'currentQ'],
  speed: ['electricalSpeed'],
  torque: ['gearTorque'],
};

/** Lowest and highest value of a row over the visible run, in SI, zero included. */
export function runReach(record: RunRecord, row: Row): Reach {
  const reach = { low: 0, high: 0 };
  const first = Math.max(record.firstColumn, record.endColumn - Math.ceil(RUN_SPAN_S / record.column_s));
  for (const name of RUN_CHANNELS[row.id] ?? []) {
    const channel = RUN_INDEX[name];
    for (let c = first; c < record.endColumn; c++) {
      widen(reach, record.column(c, channel, 0));
      widen(reach, record.column(c, channel, 1));
    }
  }
  return reach;
}

/** The same over the close-up. */
export function closeReach(closeUp: CloseUp, row: Row): Reach {
  const reach = { low: 0, high: 0 };
  for (const name of CLOSE_CHANNELS[row.id] ?? []) {
    const channel = TICK_INDEX[name];
    for (let k = closeUp.first; k < closeUp.end; k++) widen(reach, closeUp.at(k, channel));
  }
  return reach;
}

/** Grows a scale as soon as a value needs it, shrinks it after a while without need; `since_ms` remembers that. */
export function fitScales(
  scales: readonly Scale[],
  reachOf: (row: Row) => Reach,
  since_ms: Float64Array,
  now_ms: number,
): readonly Scale[] {
  const next = scales.map((old, k) => {
    const row = ROWS[k];
    const { low, high } = reachOf(row);
    const { factor } = displayUnit(row.unit);
    const wanted = chooseScale(row, low / factor, high / factor);
    if (wanted.high === old.high && wanted.low === old.low) {
      since_ms[k] = now_ms;
      return old;
    }
    const grows = wanted.high > old.high || wanted.low < old.low;
    if (!grows && now_ms - since_ms[k] < SHRINK_MS) return old;
    since_ms[k] = now_ms;
    return wanted;
  });
  return next.some((scale, k) => scale !== scales[k]) ? next : scales;
}

/** Values without meaning (a gap) are infinite or NaN and change nothing. */
function widen(reach: Reach, value: number): void {
  if (!Number.isFinite(value)) return;
  if (value < reach.low) reach.low = value;
  if (value > reach.high) reach.high = value;
}
