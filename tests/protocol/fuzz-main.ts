/**
 * The long form of fuzz.test.ts: npx tsx tests/protocol/fuzz-main.ts [SEQUENCES] [SEED], 10 million when not told otherwise.
 * Prints the figures; ends with 1 when something does not hold.
 */
import { complaintsOf } from './fuzz-checks.ts';
import { fuzzDecoders, fuzzHello } from './fuzz-decoders.ts';
import { candidates, fuzzAll, PASS } from './fuzz-traffic.ts';

const [sequences = '10000000', seed = '1'] = process.argv.slice(2);
const begin = performance.now();
const runs = fuzzAll(Number(sequences), Number(seed));
const complaints = runs.flatMap(complaintsOf);
for (const figures of runs) {
  const { drops, ...counts } = figures;
  console.log({ ...counts, ...drops, expectedFalse: candidates(figures) * PASS });
}
const decoded = fuzzDecoders(Number(sequences) / 10, Number(seed));
const hellos = fuzzHello(Number(sequences) / 50, Number(seed));
console.log({ decoded, hellos, seconds: (performance.now() - begin) / 1000 });
for (const each of [...complaints, ...decoded.complaints, ...hellos.complaints]) {
  console.error(each);
  process.exitCode = 1;
}
