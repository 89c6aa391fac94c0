/**
 * Plays every scenario with every built-in controller. Without an argument it writes scenarios/COVERAGE.md to the standard
 * output; with `--part 1/2` a line of JSON for each file of that part, as the test of all scenarios reads it.
 */
import { controllerNames } from '../../src/control/index.ts';
import { cell, line, page } from './coverage.ts';
import { libraryFiles, type Played, playWith, scenarioOf } from './library.ts';

/** Every n-th file from the i-th on; all of them without --part. */
function chosen(files: readonly string[], args: readonly string[]): readonly string[] {
  if (args.length === 0) return files;
  const match = /^--part ([1-9]\d*)\/([1-9]\d*)$/.exec(args.join(' '));
  if (!match) throw new Error(`'${args.join(' ')}' is not known; allowed is --part i/n, or nothing`);
  const [, part, parts] = match.map(Number);
  return files.filter((_, k) => k % parts === part - 1);
}

const args = process.argv.slice(2);
const files = chosen(libraryFiles(), args);
const lines: string[] = [];
for (const file of files) {
  const runs: Played['runs'][number][] = [];
  for (const controller of controllerNames()) {
    const outcome = await playWith(scenarioOf(file), controller);
    const { verdict, why, energyResidual } = outcome;
    runs.push({ controller, verdict, why, energyResidual, cell: cell(outcome) });
  }
  if (args.length > 0) process.stdout.write(`${JSON.stringify({ file, runs })}\n`);
  lines.push(
    line(
      file,
      runs.map((run) => run.cell),
    ),
  );
}
if (args.length === 0) process.stdout.write(page(files, lines));
