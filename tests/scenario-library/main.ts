/** Plays every scenario with every built-in controller and writes scenarios/COVERAGE.md to the standard output. */
import { controllerNames } from '../../src/control/index.ts';
import { cell, line, page } from './coverage.ts';
import { libraryFiles, playWith, scenarioOf } from './library.ts';

const files = libraryFiles();
const lines: string[] = [];
for (const file of files) {
  const cells: string[] = [];
  for (const name of controllerNames()) cells.push(cell(await playWith(scenarioOf(file), name)));
  lines.push(line(file, cells));
}
process.stdout.write(page(files, lines));
