/** What happened in a run, by tick: deeds, faults, trips, losses, freezes, lost time. */
import { SIGNAL_INDEX } from '../src/signals.ts';
import { PAST_WORDS } from './mark-words.ts';
import type { FreezeEvent, Mark, MarkKind } from './past-api.ts';

/** Marks kept, and told at once. */
const KEPT = 20_000;
const TOLD = 2000;
/** A hand that moves on within this is one deed to look at [s]; so is time that is lost over and over. */
const TOGETHER_S = 0.25;
/** Torque from which the bit counts as met, and below which it is free again [N·m]; illustrative. */
const MET_NM = 0.1;
const FREE_NM = 0.02;
/** Time for which it must have been free before it meets anew [s]. */
const FREE_S = 0.1;

const NOTHING: readonly FreezeEvent[] = Object.freeze([]);

interface Noted {
  readonly tick: number;
  readonly kind: MarkKind;
  readonly words: string;
}

export class Marks {
  /** Grows with every change. */ revision = 0;
  private readonly list: Noted[] = [];

  /** Adds a mark; one that goes on where the last of its kind and subject was replaces it. */
  add(tick: number, kind: MarkKind, words: string, together_ticks = 0): void {
    const { list } = this;
    const last = list.at(-1);
    const subject = words.split(' ', 1)[0];
    if (
      last &&
      together_ticks > 0 &&
      last.kind === kind &&
      tick - last.tick <= together_ticks &&
      last.words.startsWith(subject)
    ) {
      list[list.length - 1] = { ...last, words };
    } else list.push({ tick, kind, words });
    if (list.length > KEPT) list.splice(0, KEPT / 2);
    this.revision++;
  }

  /** Puts other words to the mark of a kind at a tick, whatever came after it; adds one where there is none. */
  renew(tick: number, kind: MarkKind, words: string): void {
    const { list } = this;
    const k = list.findLastIndex((mark) => mark.kind === kind && mark.tick === tick);
    if (k < 0) this.add(tick, kind, words);
    else {
      list[k] = { tick, kind, words };
      this.revision++;
    }
  }

  /** Forgets marks after a tick. */
  cut(tick: number): void {
    const { list } = this;
    while (list.length > 0 && list[list.length - 1].tick > tick) list.pop();
    this.revision++;
  }

  between(from_s: number, to_s: number, period_s: number): Mark[] {
    const within = this.list.filter(({ tick }) => tick * period_s >= from_s && tick * period_s <= to_s);
    return within.slice(-TOLD).map(({ tick, kind, words }) => ({ at_s: tick * period_s, kind, words }));
  }

  copy(): Marks {
    const copy = new Marks();
    copy.list.push(...this.list);
    return copy;
  }
}

/** Periods within which deeds and lost time are one mark. */
export const togetherTicks = (period_s: number): number => Math.round(TOGETHER_S / period_s);

/** Sees what happens by itself. Its fields are part of what is put back on a rewind. */
export class Happenings {
  private trip = 0;
  private lost = false;
  private met = false;
  private free_s = FREE_S;

  /** Looks at one period; what happened in it. */
  look(sample: Float64Array, lost: boolean, period_s: number): readonly FreezeEvent[] {
    const trip = sample[SIGNAL_INDEX.tripReason];
    const torque = Math.abs(sample[SIGNAL_INDEX.loadTorque]);
    const trips = trip !== 0 && trip !== this.trip;
    const loses = lost && !this.lost;
    const meets = !this.met && torque > MET_NM && this.free_s >= FREE_S;
    this.trip = trip;
    this.lost = lost;
    if (torque > MET_NM) {
      this.met = true;
      this.free_s = 0;
    } else if (torque < FREE_NM) {
      this.free_s += period_s;
      if (this.free_s >= FREE_S) this.met = false;
    }
    if (!trips && !loses && !meets) return NOTHING;
    return [
      ...(trips ? ['trip' as const] : []),
      ...(loses ? ['lost' as const] : []),
      ...(meets ? ['contact' as const] : []),
    ];
  }
}

/** Words of what happened by itself. */
export function happened(event: FreezeEvent, trip: string): string {
  if (event === 'trip') return PAST_WORDS.trip(trip);
  return event === 'lost' ? PAST_WORDS.lost : PAST_WORDS.contact;
}
