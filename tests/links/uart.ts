/**
 * What a UART hears of bytes that were sent at another rate: the line as levels in time, sampled as a receiver does. Eight
 * data bits, least first, no parity, one stop bit.
 */
export interface Heard {
  readonly byte: number;
  /** The stop bit was low; with all bits low it is a break. */ readonly error?: 'FramingError' | 'BreakError';
}

/** Samples a bit: a receiver looks for the start bit at this grain. */
const OVER = 16;

export function heardAt(bytes: Uint8Array, sent_Bd: number, heard_Bd: number): Heard[] {
  const bits = 10 * bytes.length;
  /** Level at a time counted in bits of the receiver; high before and after. */
  const level = (time: number): number => {
    const bit = Math.floor((time * sent_Bd) / heard_Bd);
    if (bit < 0 || bit >= bits) return 1;
    const place = bit % 10;
    if (place === 0) return 0;
    return place === 9 ? 1 : (bytes[Math.floor(bit / 10)] >> (place - 1)) & 1;
  };
  const end = (bits * heard_Bd) / sent_Bd;
  const heard: Heard[] = [];
  let before = 1;
  for (let k = 0; k / OVER < end; k++) {
    const now = level(k / OVER);
    const falls = before === 1 && now === 0;
    before = now;
    if (!falls || level(k / OVER + 0.5) !== 0) continue;
    let byte = 0;
    for (let bit = 0; bit < 8; bit++) byte |= level(k / OVER + 1.5 + bit) << bit;
    const stop = level(k / OVER + 9.5);
    if (stop === 1) heard.push({ byte });
    else heard.push({ byte, error: byte === 0 ? 'BreakError' : 'FramingError' });
    k += Math.round(9.5 * OVER);
    before = stop;
  }
  return heard;
}
