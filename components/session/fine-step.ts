/**
 * Looks into a period step by step of the plant while time stands: the drill shows the instant, the bench stands where it stood.
 * A period is gone through again once and then read from what it left.
 */
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import type { Detail } from '../../worker/api.ts';
import type { Session } from './session.ts';

const CHANNELS = SIGNALS.map(({ id }) => id).filter((id) => id !== 'time');
const PLACES = CHANNELS.map((id) => SIGNAL_INDEX[id]);
/** A step closer than this to the moment is the step of that moment [s]. */
const SAME_S = 1e-9;

export class FineStep {
  private readonly session: Session;
  private detail: Detail | undefined;
  private at = 0;
  private busy = false;

  constructor(session: Session) {
    this.session = session;
  }

  /** The instant that is shown [s], undefined when it is where the bench stands. */
  get at_s(): number | undefined {
    return this.detail && this.detail.from_s + this.detail.at_s[this.at];
  }

  /** Time moves: the bench is shown again. */
  forget(): void {
    this.detail = undefined;
  }

  /** One step back (-1) or on (1). Resolves with why it cannot be done, '' when it was. */
  async step(way: 1 | -1): Promise<string> {
    if (this.busy) return '';
    this.busy = true;
    try {
      return await this.move(way);
    } finally {
      this.busy = false;
    }
  }

  private async move(way: 1 | -1): Promise<string> {
    const { session } = this;
    const { tick_s } = session.record;
    const now_s = this.at_s ?? session.record.headValue('tick') * tick_s;
    if (this.detail === undefined || !this.has(this.at + way)) {
      // The period before the moment or after it; the bench makes the next one when nothing has come after yet.
      const period = way < 0 ? Math.ceil(now_s / tick_s - 1e-3) - 1 : Math.floor(now_s / tick_s + 1e-3);
      if (period < 0) return '';
      const to_s = (period + 1) * tick_s;
      if (to_s > (session.news?.past.held.to_s ?? 0) + tick_s / 2) await session.api.step(1);
      const found = await session.api.detail(period * tick_s, to_s, CHANNELS);
      if ('ok' in found) return found.why;
      this.detail = found;
      const after = found.at_s.findIndex((s) => found.from_s + s > now_s + SAME_S);
      const before = found.at_s.findLastIndex((s) => found.from_s + s < now_s - SAME_S);
      this.at = way > 0 ? after : before;
    } else this.at += way;
    this.show();
    return '';
  }

  private has(at: number): boolean {
    return this.detail !== undefined && at >= 0 && at < this.detail.at_s.length;
  }

  private show(): void {
    const { detail, at, session } = this;
    if (!detail || at < 0) {
      this.forget();
      return;
    }
    const { now } = session.record;
    for (let k = 0; k < PLACES.length; k++) now[PLACES[k]] = detail.data[k][at];
    now[SIGNAL_INDEX.time] = detail.from_s + detail.at_s[at];
  }
}
