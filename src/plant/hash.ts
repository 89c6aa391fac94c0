/**
 * Hash of a state vector: two 32-bit lanes of FNV-1a over its little-endian bytes, the second lane started differently.
 * It tells equal runs from unequal ones; it is no protection against intent.
 *
 * Source  Fowler, Noll, Vo: FNV-1a, offset basis 0x811c9dc5, prime 0x01000193 (from memory; checked by a test on its
 *         published value for the empty input and for "a").
 */
const PRIME = 0x01000193;

/** One 32-bit lane over bytes. */
export function fnv1a(bytes: Uint8Array, basis = 0x811c9dc5): number {
  let h = basis;
  for (let k = 0; k < bytes.length; k++) h = Math.imul(h ^ bytes[k], PRIME);
  return h >>> 0;
}

/** 16 hexadecimal digits over every bit of a vector. */
export function hashOf(state: Float64Array): string {
  const bytes = new Uint8Array(state.length * 8);
  const view = new DataView(bytes.buffer);
  for (let k = 0; k < state.length; k++) view.setFloat64(8 * k, state[k], true);
  const lane = (basis?: number) => fnv1a(bytes, basis).toString(16).padStart(8, '0');
  return lane() + lane(0x9747b28c);
}
