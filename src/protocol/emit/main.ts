/**
 * Entry of `npm run protocol`; runs in Node only, nothing else imports it. Writes what is derived from the frames. With
 * --release it writes down what is declared as released, unless that would change the meaning of what was.
 */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { cHeader } from './c-header.ts';
import { brokenPromises, retiredIds } from './changes.ts';
import { protocolPage } from './page.ts';
import { currentRelease, type Release } from './release.ts';
import { tickCodecs } from './tick-codecs.ts';

const root = new URL('../../../', import.meta.url);

function write(path: string, text: string): void {
  writeFileSync(fileURLToPath(new URL(path, root)), text);
  console.log(`wrote ${path}`);
}

function release(path: string): void {
  const file = fileURLToPath(new URL(path, root));
  const before: Release | undefined = existsSync(file) ? JSON.parse(readFileSync(file, 'utf8')) : undefined;
  const now = currentRelease();
  const broken = before && before.version === now.version ? brokenPromises(before, now) : [];
  if (broken.length > 0) {
    console.error(`${path} was not written: version ${now.version} is released, and this would change its meaning:`);
    for (const each of broken) console.error(`  ${each}`);
    process.exitCode = 1;
    return;
  }
  write(path, `${JSON.stringify({ ...now, retired: before ? retiredIds(before, now) : [] }, undefined, 2)}\n`);
}

write('src/board/phantom_link.h', cHeader());
write('src/board/PROTOCOL.md', protocolPage());
write('src/protocol/tick-codecs.ts', tickCodecs());
if (process.argv.includes('--release')) release('tests/protocol/released.json');
