/** Reproducible chance for tests: a 32-bit xorshift (G. Marsaglia, Xorshift RNGs, J. Statistical Software 8(14), 2003). */
export function seededInt(seed: number): (below: number) => number {
  let x = (seed * 2654435761) >>> 0 || 1;
  return (below) => {
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    x >>>= 0;
    return x % below;
  };
}

export function seededBytes(seed: number, length: number): Uint8Array {
  const draw = seededInt(seed);
  return Uint8Array.from({ length }, () => draw(256));
}

/** Numbers of 0 to below 1. */
export function seeded(seed: number): () => number {
  const draw = seededInt(seed);
  return () => draw(1 << 30) / (1 << 30);
}
