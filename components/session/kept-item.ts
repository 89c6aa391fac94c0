/** What a browser keeps for the page. A store may be forbidden, full, or absent: then nothing is kept, and nothing else is lost. */
type Where = 'localStorage' | 'sessionStorage';

/** Undefined when nothing was kept, or nothing may be read. */
export function keptItem(where: Where, key: string): string | undefined {
  try {
    return globalThis[where].getItem(key) ?? undefined;
  } catch {
    return undefined;
  }
}

/** Keeps it, or with undefined forgets it. */
export function keepItem(where: Where, key: string, value: string | undefined): void {
  try {
    if (value === undefined) globalThis[where].removeItem(key);
    else globalThis[where].setItem(key, value);
  } catch {
    // As said above.
  }
}
