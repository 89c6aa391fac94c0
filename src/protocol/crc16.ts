/**
 * CRC-16/IBM-3740 (also called CRC-16/CCITT-FALSE or CRC-16/AUTOSAR): width 16, polynomial 0x1021, initial value
 * 0xFFFF, not reflected, no final inversion; check value of the ASCII text 123456789 is 0x29B1.
 */
const TABLE = new Uint16Array(256);
for (let byte = 0; byte < 256; byte++) {
  let crc = byte << 8;
  for (let bit = 0; bit < 8; bit++) crc = crc & 0x8000 ? (crc << 1) ^ 0x1021 : crc << 1;
  TABLE[byte] = crc;
}

export const CRC_BYTES = 2;

/** Checksum of bytes[start] to bytes[end - 1]. */
export function crc16(bytes: Uint8Array, start = 0, end = bytes.length): number {
  let crc = 0xffff;
  for (let k = start; k < end; k++) crc = ((crc << 8) & 0xffff) ^ TABLE[(crc >>> 8) ^ bytes[k]];
  return crc;
}
