/**
 * Brings what the hands do to the screen: at once where a person moves them, whose next key builds on what is shown; not more
 * often than ten times a second where the demonstration does. Numbers that are shown in between count too, so that both
 * together stay below that.
 */
const LEAST_MS = 100;

export class ShownHands {
  private shown_ms = Number.NEGATIVE_INFINITY;
  private later: ReturnType<typeof setTimeout> | undefined;
  private readonly show: () => void;

  constructor(show: () => void) {
    this.show = show;
  }

  /** The hands have moved. */
  moved(byPerson: boolean): void {
    if (this.later !== undefined && !byPerson) return;
    const wait_ms = this.shown_ms + LEAST_MS - performance.now();
    if (wait_ms > 0 && !byPerson) this.later = setTimeout(() => this.renew(true), wait_ms);
    else this.renew(true);
  }

  /** Other numbers are shown now: what waits goes along. */
  along(): void {
    this.renew(this.later !== undefined);
  }

  /** Nobody looks any more. */
  end(): void {
    clearTimeout(this.later);
    this.later = undefined;
  }

  private renew(show: boolean): void {
    this.end();
    this.shown_ms = performance.now();
    if (show) this.show();
  }
}
