/**
 * A run and the sleep of its tab. A lock is held while time runs, which browsers take as a reason to leave the tab awake. When it
 * is put to sleep all the same, Stop comes first: who wakes up finds all legs open, and the time that is missing in the record.
 */
import type { Session } from './session.ts';

/** Shared: every tab with a run holds it. */
const LOCK = 'phantom-spindle-run';

export class Awake {
  private readonly session: Session;
  private readonly woke: (slept_s: number) => void;
  private free: (() => void) | undefined;
  private wanted = false;
  private asleep_ms = Number.NaN;

  /** @param woke called after a sleep, with how long it was */
  constructor(session: Session, woke: (slept_s: number) => void) {
    this.session = session;
    this.woke = woke;
    session.addEventListener('news', this.look);
    document.addEventListener('freeze', this.sleep);
    document.addEventListener('resume', this.wake);
    // A page that is kept for going back sleeps, too.
    addEventListener('pagehide', this.hide);
    addEventListener('pageshow', this.show);
  }

  end(): void {
    this.session.removeEventListener('news', this.look);
    document.removeEventListener('freeze', this.sleep);
    document.removeEventListener('resume', this.wake);
    removeEventListener('pagehide', this.hide);
    removeEventListener('pageshow', this.show);
    this.hold(false);
  }

  private readonly look = (): void => this.hold(this.session.record.headValue('running') === 1);

  private hold(on: boolean): void {
    if (on === this.wanted) return;
    this.wanted = on;
    if (!on) {
      this.free?.();
      this.free = undefined;
      return;
    }
    // Absent on a page that is neither from https nor from this machine; then nothing can be held.
    void navigator.locks?.request(LOCK, { mode: 'shared' }, () =>
      this.wanted
        ? new Promise<void>((free) => {
            this.free = free;
          })
        : undefined,
    );
  }

  private readonly sleep = (): void => {
    if (!Number.isNaN(this.asleep_ms)) return;
    this.asleep_ms = Date.now(); // the other clock may stand while the machine sleeps
    this.session.stop();
  };

  private readonly wake = (): void => {
    if (Number.isNaN(this.asleep_ms)) return;
    const slept_s = (Date.now() - this.asleep_ms) / 1000;
    this.asleep_ms = Number.NaN;
    this.woke(slept_s);
  };

  private readonly hide = ({ persisted }: PageTransitionEvent): void => {
    if (persisted) this.sleep();
  };

  private readonly show = ({ persisted }: PageTransitionEvent): void => {
    if (persisted) this.wake();
  };
}
