/** Waiting with a limit, and without a timer that outlives it. */

/** Resolves true when `event` settles within the limit, either way, else false. Never rejects. */
export async function within(event: Promise<unknown>, limit_ms: number): Promise<boolean> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<boolean>((resolve) => {
    timer = setTimeout(() => resolve(false), limit_ms);
  });
  const settled = event.then(
    () => true,
    () => true,
  );
  const inTime = await Promise.race([settled, late]);
  clearTimeout(timer);
  return inTime;
}

/** Resolves after the time, or at once when `signal` aborts. */
export function pause(time_ms: number, signal?: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    if (signal?.aborted) return resolve();
    const over = (): void => {
      clearTimeout(timer);
      signal?.removeEventListener('abort', over);
      resolve();
    };
    const timer = setTimeout(over, time_ms);
    signal?.addEventListener('abort', over);
  });
}
