/**
 * Takes what only one tab of this browser may have; resolves with the way to give it back, or with undefined when another tab has it.
 * A page that is neither from https nor from this machine has no locks: there nothing is held, and everybody gets it.
 */
export async function holdLock(name: string): Promise<(() => void) | undefined> {
  const { locks } = (globalThis.navigator ?? {}) as { locks?: LockManager };
  if (!locks) return () => {};
  return new Promise((resolve, reject) => {
    locks
      .request(name, { ifAvailable: true }, (lock) => {
        if (lock) return new Promise<void>((free) => resolve(free));
        resolve(undefined);
        return undefined;
      })
      .catch(reject);
  });
}
