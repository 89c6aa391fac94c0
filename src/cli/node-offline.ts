/** Seals a built page for use offline: writes the list of its files, with what is in them, in front of the worker that keeps them. */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** The worker beside the page: its folder is what it answers for. */
export const OFFLINE_FILE = 'offline.js';
const LEAD = 'self.BUILD=';

/** Writes the list anew, whatever was there; returns the name of the build. Throws when the folder holds no such worker. */
export function sealOffline(folder: string): string {
  const worker = join(folder, OFFLINE_FILE);
  const program = readFileSync(worker, 'utf8')
    .split('\n')
    .filter((line) => !line.startsWith(LEAD))
    .join('\n');
  const files: Record<string, string> = {};
  const found = readdirSync(folder, { recursive: true, encoding: 'utf8' }).map((file) => file.replaceAll('\\', '/'));
  for (const file of found.sort()) {
    const path = join(folder, file);
    if (file === OFFLINE_FILE || file.endsWith('.map') || !statSync(path).isFile()) continue;
    files[file === 'index.html' ? '' : file] = createHash('sha256').update(readFileSync(path)).digest('base64');
  }
  const id = createHash('sha256').update(JSON.stringify(files)).digest('hex').slice(0, 16);
  writeFileSync(worker, `${LEAD}${JSON.stringify({ id, files })};\n${program}`);
  return id;
}
