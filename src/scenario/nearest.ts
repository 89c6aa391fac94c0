/** Spelling help for keys and names. */

/** A longer word is no misspelt one, and comparing it would take long. */
const LONGEST = 60;

/** The candidate that takes the fewest single-letter changes, or undefined when none is close. */
export function nearest(word: string, candidates: readonly string[]): string | undefined {
  if (word.length > LONGEST) return undefined;
  let best: string | undefined;
  // A third of the letters may differ, two at least, but never all: 'triger' finds 'trigger', 'color' finds nothing.
  let fewest = Math.min(Math.max(2, Math.floor(word.length / 3)) + 1, word.length);
  for (const candidate of candidates) {
    const changes = editDistance(word.toLowerCase(), candidate.toLowerCase());
    if (changes < fewest) {
      fewest = changes;
      best = candidate;
    }
  }
  return best;
}

/** "nearest is 'x'; allowed are a, b, c", the first part only when something is close. */
export function suggestion(word: string, candidates: readonly string[]): string {
  const close = nearest(word, candidates);
  const allowed = `allowed ${candidates.length === 1 ? 'is' : 'are'} ${candidates.join(', ')}`;
  return close === undefined ? allowed : `nearest is '${close}'; ${allowed}`;
}

/** Insertions, deletions, replacements and swaps of neighbors that turn a into b. */
function editDistance(a: string, b: string): number {
  const width = b.length + 1;
  const cost = new Uint16Array((a.length + 1) * width);
  for (let i = 0; i <= a.length; i++) cost[i * width] = i;
  for (let j = 0; j < width; j++) cost[j] = j;
  for (let i = 1; i <= a.length; i++) {
    for (let j = 1; j < width; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let least = Math.min(
        cost[(i - 1) * width + j] + 1,
        cost[i * width + j - 1] + 1,
        cost[(i - 1) * width + j - 1] + same,
      );
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (swapped) least = Math.min(least, cost[(i - 2) * width + j - 2] + 1);
      cost[i * width + j] = least;
    }
  }
  return cost[a.length * width + b.length];
}
