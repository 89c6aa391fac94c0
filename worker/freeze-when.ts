/** Looks in every period whether time shall stand still. */
import { requireRange } from '../src/units/checks.ts';
import { placeOf } from './look.ts';
import type { FreezeEvent, FreezeWhen } from './past-api.ts';

const PRE_MOST_S = 10;

/** Reads one number of the present period by its place in a row. */
export type Reading = (place: number) => number;

export class FreezeWatch {
  readonly condition: FreezeWhen;
  private readonly place: number;
  private readonly level: number;
  private readonly upper: number;
  private before = Number.NaN;

  /** Throws RangeError when the condition cannot be looked at. @param width of a row */
  constructor(condition: FreezeWhen, width: number) {
    const { kind, channel, level, upper, event, pre_s } = condition;
    requireRange('pre_s', pre_s, 0, PRE_MOST_S, 's');
    if (kind === 'event') {
      if (event === undefined) throw new RangeError('the event is missing; allowed are trip, fault, lost, contact');
    } else {
      if (channel === undefined) throw new RangeError(`freeze when it ${kind} a value: the channel is missing`);
      requireRange('level', level ?? Number.NaN, -1e12, 1e12, '');
      if (kind === 'between') requireRange('upper', upper ?? Number.NaN, -1e12, 1e12, '');
    }
    this.condition = condition;
    this.place = channel === undefined ? -1 : placeOf(channel, { width });
    this.level = level ?? 0;
    this.upper = upper ?? 0;
  }

  /** After a period. @param events what happened in it */
  due(read: Reading, events: readonly FreezeEvent[]): boolean {
    const { kind, event } = this.condition;
    if (kind === 'event') return events.length > 0 && events.includes(event!);
    const { level, upper, before } = this;
    const now = read(this.place);
    this.before = now;
    if (kind === 'rises through') return before < level && now >= level;
    if (kind === 'falls through') return before > level && now <= level;
    if (kind === 'above') return now > level;
    if (kind === 'below') return now < level;
    return level <= upper ? now >= level && now <= upper : now >= level || now <= upper;
  }

  /** Time went back: an edge needs two periods that follow each other. */
  forget(): void {
    this.before = Number.NaN;
  }
}
