/**
 * Which build ran: a hash over the sources that decide what a run does. Results of two builds do not belong in one file,
 * and only a hash can tell when nobody has raised a version.
 */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const SOURCES = fileURLToPath(new URL('..', import.meta.url));
/** Everything that a result depends on; what only prints or serves is not among it. */
const FOLDERS = [
  'units',
  'protocol',
  'plant',
  'sensing',
  'faults',
  'control',
  'links',
  'scenario',
  'runner',
  'campaign',
];

let known: string | undefined;

/** Sixteen hexadecimal digits of the SHA-256 over paths and contents, the same on every machine. */
export function buildHash(): string {
  known ??= hashOf();
  return known;
}

function hashOf(): string {
  const hash = createHash('sha256');
  for (const folder of FOLDERS) {
    const files = readdirSync(`${SOURCES}${folder}`, { recursive: true, encoding: 'utf8' })
      .map((file) => file.replaceAll('\\', '/'))
      .filter((file) => file.endsWith('.ts'));
    // By code units, as every machine sorts them alike.
    for (const file of files.sort()) {
      const text = readFileSync(`${SOURCES}${folder}/${file}`, 'utf8').replaceAll('\r\n', '\n');
      hash.update(`${folder}/${file}\n${text.length}\n${text}`);
    }
  }
  hash.update(readFileSync(`${SOURCES}signals.ts`, 'utf8').replaceAll('\r\n', '\n'));
  return hash.digest('hex').slice(0, 16);
}
