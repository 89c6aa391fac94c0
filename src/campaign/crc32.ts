import { crc32 as ofBytes } from '../recorder/crc32.ts';

const encoder = new TextEncoder();

/** Checksum of a text as UTF-8, CRC-32 as in Ethernet and ZIP: eight hexadecimal digits. */
export function crc32(text: string): string {
  return ofBytes(encoder.encode(text)).toString(16).padStart(8, '0');
}
