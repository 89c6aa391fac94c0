/**
 * Chance that can be repeated: one stream of draws for each purpose, so that a further value to vary, or another way of
 * cutting a campaign in parts, leaves all others as they were.
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { uniformInt } from 'pure-rand/distribution/uniformInt';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

export interface Stream {
  /** Even, above 0 and below 1. */ share(): number;
  /** A whole number, even, from 0 to most. */ upTo(most: number): number;
}

/** @param purpose what is drawn, such as the place of the value that varies */
export function streamFor(seed: number, purpose: string): Stream {
  const generator = xoroshiro128plus(mixed(seed, purpose));
  return {
    share() {
      // Zero has no normal draw; it comes once in 2^53.
      for (;;) {
        const drawn = uniformFloat64(generator);
        if (drawn > 0) return drawn;
      }
    },
    upTo: (most) => uniformInt(generator, 0, most),
  };
}

/** FNV-1a over the seed and the purpose (32 bit; draft-eastlake-fnv, from memory). */
function mixed(seed: number, purpose: string): number {
  let hash = 0x811c9dc5;
  for (const byte of new TextEncoder().encode(`${seed}:${purpose}`)) hash = Math.imul(hash ^ byte, 0x01000193);
  return hash | 0;
}

/** The numbers 0 to size - 1 in an order that the stream draws (Fisher and Yates). */
export function shuffled(size: number, stream: Stream): Uint32Array {
  const order = Uint32Array.from({ length: size }, (_, k) => k);
  for (let k = size - 1; k > 0; k--) {
    const other = stream.upTo(k);
    [order[k], order[other]] = [order[other], order[k]];
  }
  return order;
}
