/** The faults of a scenario, from its content to orders in SI. What is wrong goes to `fail`, with the place in the file. */
import { FAULTS } from '../faults/catalogue.ts';
import type { Begin } from '../faults/condition.ts';
import type { FaultEntry, Leg } from '../faults/entry.ts';
import type { FaultOrder } from '../faults/order.ts';
import type { Shape } from '../faults/shape.ts';
import { SIGNALS, type SignalId } from '../signals.ts';
import { toDisplay } from '../units/convert.ts';
import { readAmount } from './amount.ts';
import { KINDS, type KindName } from './kinds.ts';
import { readQuantity } from './quantity.ts';
import { type Content, type Fail, record } from './reader.ts';
import type { Path } from './source.ts';

/** Reads one order; the schema has checked its keys. Undefined when it cannot be made. */
export function readFault(from: Content, path: Path, duration_s: number, fail: Fail): FaultOrder | undefined {
  const read = new FaultReader(from, path, duration_s, fail);
  return read.order();
}

class FaultReader {
  private readonly from: Content;
  private readonly path: Path;
  private readonly duration_s: number;
  private readonly fail: Fail;

  constructor(from: Content, path: Path, duration_s: number, fail: Fail) {
    this.from = from;
    this.path = path;
    this.duration_s = duration_s;
    this.fail = fail;
  }

  order(): FaultOrder | undefined {
    const { from, path } = this;
    const entry = entryOf(from.fault);
    if (!entry) return undefined; // the schema has said so
    if (entry.legs && !('leg' in from)) this.fail(path, `${entry.id} asks for a leg; allowed are a, b, c`);
    if (!entry.legs && 'leg' in from) this.fail([...path, 'leg'], `${entry.id} has no leg`);
    const begin = this.begin();
    const order: FaultOrder = {
      fault: entry.id,
      leg: from.leg as Leg | undefined,
      size: this.size(),
      begin: begin ?? { kind: 'at', at_s: 0 },
      shape: this.shape(),
      for_s: this.quantity('for', 'stay'),
    };
    return Object.freeze(order);
  }

  private size(): number | undefined {
    const { from, path } = this;
    const { id, size } = FAULTS[String(from.fault)];
    if (!('size' in from)) return undefined;
    const at = [...path, 'size'];
    if (!size) {
      this.fail(at, `${id} has no size: it is there or not`);
      return undefined;
    }
    const read = readAmount(from.size, size.show, id);
    if (!read.ok) {
      this.fail(at, read.why);
      return undefined;
    }
    const slack = 1e-12 * Math.max(Math.abs(size.low), Math.abs(size.high));
    if (read.si >= size.low - slack && read.si <= size.high + slack)
      return Math.min(Math.max(read.si, size.low), size.high);
    const [low, high] = [size.low, size.high].map((value) => `${toDisplay(value, size.show)} ${size.show}`.trim());
    this.fail(at, `'${from.size}' is out of range; allowed is ${low} to ${high} (${size.doc})`);
    return undefined;
  }

  private begin(): Begin | undefined {
    const { from, path } = this;
    if ('at' in from === 'when' in from) {
      this.fail(path, "a fault begins at a moment or on a condition; name one of 'at' and 'when'");
      return undefined;
    }
    if ('at' in from) {
      const at_s = this.quantity('at', 'moment');
      if (at_s !== undefined && at_s >= this.duration_s)
        this.fail([...path, 'at'], `'${from.at}' is not before the end of the run at ${this.duration_s} s`);
      return at_s === undefined ? undefined : { kind: 'at', at_s };
    }
    return this.condition(record(from.when), [...path, 'when']);
  }

  private condition(when: Content, path: Path): Begin | undefined {
    const signal = SIGNALS.find(({ id }) => id === when.signal);
    if ('above' in when === 'below' in when) {
      this.fail(path, "name one of 'above' and 'below'");
      return undefined;
    }
    if (!signal) return undefined;
    const side = 'above' in when ? 'above' : 'below';
    const read = readAmount(when[side], signal.show, signal.id);
    if (!read.ok) {
      this.fail([...path, side], read.why);
      return undefined;
    }
    const from_s = this.quantityIn(when, path, 'from', 'moment') ?? 0;
    const held_s = this.quantityIn(when, path, 'held', 'held') ?? 0;
    return { kind: 'when', signal: signal.id as SignalId, side, value: read.si, from_s, held_s };
  }

  private shape(): Shape {
    const { from, path } = this;
    if ('ramp' in from && 'intermittent' in from)
      this.fail(path, "a fault has one shape; name one of 'ramp' and 'intermittent'");
    if ('ramp' in from) return { kind: 'ramp', over_s: this.quantity('ramp', 'ramp') ?? 1 };
    if (!('intermittent' in from)) return { kind: 'step' };
    const stays = record(from.intermittent);
    const at = [...path, 'intermittent'];
    const on_s = this.quantityIn(stays, at, 'on', 'stay') ?? 1;
    const off_s = this.quantityIn(stays, at, 'off', 'stay') ?? 1;
    return { kind: 'intermittent', on_s, off_s };
  }

  private quantity(key: string, kind: KindName): number | undefined {
    return this.quantityIn(this.from, this.path, key, kind);
  }

  private quantityIn(from: Content, path: Path, key: string, kind: KindName): number | undefined {
    if (!(key in from)) return undefined;
    const read = readQuantity(from[key], KINDS[kind]);
    if (read.ok) return read.si;
    this.fail([...path, key], read.why);
    return undefined;
  }
}

const entryOf = (name: unknown): FaultEntry | undefined =>
  typeof name === 'string' && Object.hasOwn(FAULTS, name) ? FAULTS[name] : undefined;
