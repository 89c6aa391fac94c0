/**
 * The build that stands in this browser and the one that waits beside it. Nothing is taken over by itself: a person asks for it,
 * and the page reloads once the new build answers.
 */
export type Kept = '' | 'offline' | 'newer' | 'elsewhere';

/** A page that stays open looks for another build this often [ms]. */
const LOOK_MS = 3_600_000;

/** @fires change - `kept` or `trouble` is another */
export class Builds extends EventTarget {
  kept: Kept = '';
  /** Why this page cannot be kept, '' when it can or when that is not asked. */ trouble = '';
  private registration: ServiceWorkerRegistration | undefined;
  private asked = false;
  /** Whoever asked is gone. */ private readonly over = new AbortController();
  private timer: ReturnType<typeof setInterval> | undefined;

  /** Lets the browser keep the page. Browsers that keep none, and pages that come from nowhere safe, are left as they are. */
  async begin(): Promise<void> {
    const { serviceWorker } = navigator as { serviceWorker?: ServiceWorkerContainer };
    if (!serviceWorker) return;
    const before = serviceWorker.controller !== null;
    const { signal } = this.over;
    const changed = () => {
      if (this.asked) location.reload();
      else if (before) this.tell('elsewhere');
    };
    serviceWorker.addEventListener('controllerchange', changed, { signal });
    try {
      const registration = await serviceWorker.register(new URL('offline.js', document.baseURI));
      if (signal.aborted) return;
      this.registration = registration;
      this.watch(registration.installing ?? registration.waiting);
      registration.addEventListener('updatefound', () => this.watch(registration.installing), { signal });
      if (registration.active) this.tell(registration.waiting ? 'newer' : 'offline');
      // Without a network it fails, and is tried again later.
      this.timer = setInterval(() => void registration.update().catch(() => {}), LOOK_MS);
    } catch (error) {
      this.trouble = (error as Error).message;
      this.tell('');
    }
  }

  /** Takes the build that waits; the page reloads when it has taken over. */
  take(): void {
    this.asked = true;
    const { waiting } = this.registration ?? {};
    if (waiting) waiting.postMessage('take over');
    else location.reload(); // another tab was faster
  }

  end(): void {
    clearInterval(this.timer);
    this.over.abort();
  }

  private watch(worker: ServiceWorker | null): void {
    const changed = () => {
      if (worker?.state === 'installed' && this.registration?.active) this.tell('newer');
      if (worker?.state === 'activated' && this.kept === '') this.tell('offline');
      if (worker?.state === 'redundant' && !this.registration?.active) {
        this.trouble = 'not all of its files could be fetched';
        this.tell('');
      }
    };
    worker?.addEventListener('statechange', changed, { signal: this.over.signal });
  }

  private tell(kept: Kept): void {
    this.kept = kept;
    this.dispatchEvent(new Event('change'));
  }
}
