/** The first bytes of a file: is it a recording, whole, and of a version that can be read? */
import { type ByteSource, RecordingError, viewOf } from './blocks.ts';
import { crc32, flippedBit } from './crc32.ts';
import { FORMAT_VERSION } from './header.ts';
import { MAGIC, PREAMBLE_BYTES } from './layout.ts';

/** Beginnings of files that are taken for a recording most easily. */
const OTHERS: readonly (readonly [string, string])[] = [
  ['PAR1', 'a Parquet file'],
  ['MDF ', 'an MDF file'],
  ['UnFinMF', 'an MDF file that was not finished'],
  ['time,', 'a table as CSV'],
  ['tick,', 'a table as CSV'],
  ['{', 'JSON'],
  ['PK', 'a ZIP file'],
];

/** Throws RecordingError saying what the file is instead. */
export async function checkPreamble(source: ByteSource): Promise<void> {
  const bytes = await source.read(0, PREAMBLE_BYTES);
  if (bytes.length === 0) throw new RecordingError('is empty; a recording was begun and nothing of it was written');
  const differing = bytes.subarray(0, MAGIC.length).reduce((sum, byte, k) => sum + ones(byte ^ MAGIC[k]), 0);
  if (differing > 1) throw new RecordingError(`is no recording of this bench: it begins as ${kindOf(bytes)}`);
  if (bytes.length < PREAMBLE_BYTES) {
    throw new RecordingError(`ends after ${bytes.length} bytes, before its header; nothing of it can be read`);
  }
  const view = viewOf(bytes);
  const stored = view.getUint32(12, true);
  const computed = crc32(bytes, 0, 12);
  if (stored !== computed) {
    const found = flippedBit(stored, computed, 12);
    const where = found ? `bit ${found.bit} of byte ${found.byte} is flipped` : 'the checksum does not hold';
    throw new RecordingError({ text: `is damaged in its first bytes: ${where}`, ...found });
  }
  const version = view.getUint32(8, true);
  if (version > FORMAT_VERSION || version < 1) {
    throw new RecordingError(
      `has version ${version} of the format; this program reads 1 to ${FORMAT_VERSION}: take a newer one`,
    );
  }
}

function kindOf(bytes: Uint8Array): string {
  const text = String.fromCharCode(...bytes);
  const known = OTHERS.find(([begin]) => text.startsWith(begin));
  if (known) return known[1];
  return `the bytes ${[...bytes.subarray(0, 8)].map((byte) => byte.toString(16).padStart(2, '0')).join(' ')}`;
}

function ones(byte: number): number {
  let count = 0;
  for (let left = byte; left > 0; left &= left - 1) count++;
  return count;
}
