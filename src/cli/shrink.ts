/** `shrink`: makes the smallest scenario that still fails as a given one does. */
import { readFileSync } from 'node:fs';
import { stringify } from 'yaml';
import { shrink } from '../campaign/shrink.ts';
import { SetUpError } from '../links/errors.ts';
import { loadScenario } from '../scenario/load.ts';
import { problemText, readSource } from '../scenario/source.ts';
import { playText } from './campaign-play.ts';
import { controllerChoice } from './controller-choice.ts';
import { EXIT_PASSED, EXIT_SET_UP } from './exit.ts';
import { say, writeText } from './files.ts';

export interface ShrinkArguments {
  readonly check?: string;
  readonly controller?: string;
  readonly runs?: string;
  readonly out: string;
}

const RUNS_MOST = 10_000;

/** Returns the exit code: 0 when a smallest one was written. Throws SetUpError when there is nothing to shrink. */
export async function shrinkFile(
  file: string,
  { check, controller, runs = '300', out }: ShrinkArguments,
): Promise<number> {
  const most = Number(runs);
  if (!/^\d+$/.test(runs) || most < 1 || most > RUNS_MOST) {
    throw new SetUpError(`--runs ${runs}: allowed is a whole number from 1 to ${RUNS_MOST}`);
  }
  if (controller !== undefined) controllerChoice(controller);
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch (error) {
    throw new SetUpError(`${file}: cannot be read: ${(error as Error).message}`);
  }
  const loaded = loadScenario(text, file);
  if (!loaded.ok) {
    for (const problem of loaded.problems) say(process.stderr, problemText(problem));
    say(process.stderr, 'nothing was run');
    return EXIT_SET_UP;
  }
  const { content } = readSource(text, file);
  const told = (what: string) => say(process.stderr, what);
  try {
    const found = await shrink(content, (each) => playText(JSON.stringify(each), { file, controller }), {
      check,
      most,
      told,
    });
    writeText('scenario', out, `# Fails as ${file} does: ${found.fails}\n${stringify(found.content)}`);
    say(
      process.stdout,
      `'${found.fails}' still fails; ${found.changes.length} changes in ${found.runs} runs, ended because ${found.ended}`,
    );
    say(process.stdout, `the smallest is in ${out}`);
    return EXIT_PASSED;
  } catch (error) {
    if (error instanceof RangeError) throw new SetUpError(`${file}: ${error.message}`);
    throw error;
  }
}
