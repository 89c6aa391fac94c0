/** Writes vectors.json: npx tsx tests/protocol/vectors-main.ts, then npm run format. Needed when a frame is added. */
import { writeFileSync } from 'node:fs';
import { makeVectors } from './vectors.ts';

writeFileSync(new URL('./vectors.json', import.meta.url), `${JSON.stringify(makeVectors(), undefined, 2)}\n`);
