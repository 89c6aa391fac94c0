/** CRC-32 as in Ethernet and ZIP (reflected polynomial 0xEDB88320; its check value for '123456789' is 0xCBF43926). */
const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let value = byte;
  for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  return value;
});

const encoder = new TextEncoder();

/** Checksum of a text as UTF-8, eight hexadecimal digits. */
export function crc32(text: string): string {
  let value = 0xffffffff;
  for (const byte of encoder.encode(text)) value = TABLE[(value ^ byte) & 0xff] ^ (value >>> 8);
  return ((value ^ 0xffffffff) >>> 0).toString(16).padStart(8, '0');
}
