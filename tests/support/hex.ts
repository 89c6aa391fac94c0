/** Bytes as text for tests: two digits each, one space between. */
export function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join(' ');
}

export function unhex(text: string): Uint8Array {
  return Uint8Array.from(text.split(' ').filter(Boolean), (digits) => Number.parseInt(digits, 16));
}
