/** Entry of `npm run protocol`; runs in Node only, nothing else imports it. Writes what is derived from the frames. */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { cHeader } from './c-header.ts';
import { TABLES_BEGIN, TABLES_END, withTables } from './tables.ts';

const root = new URL('../../../', import.meta.url);
const headerPath = fileURLToPath(new URL('src/board/phantom_link.h', root));
const manualPath = fileURLToPath(new URL('DEVELOPERS.md', root));

writeFileSync(headerPath, cHeader());
console.log(`wrote ${headerPath}`);

if (existsSync(manualPath)) {
  const text = withTables(readFileSync(manualPath, 'utf8'));
  if (text === undefined) {
    console.error(`${manualPath} has no ${TABLES_BEGIN} followed by ${TABLES_END}; the frame tables were not written`);
    process.exitCode = 1;
  } else {
    writeFileSync(manualPath, text);
    console.log(`wrote the frame tables in ${manualPath}`);
  }
}
