/** `shrink`: makes the smallest scenario that still fails as a given one does. */
import { stringify } from 'yaml';
import { shrink } from '../campaign/shrink.ts';
import { SetUpError } from '../links/errors.ts';
import { problemText } from '../scenario/source.ts';
import { playText } from './campaign-play.ts';
import { controllerChoice } from './controller-choice.ts';
import { EXIT_PASSED, EXIT_SET_UP } from './exit.ts';
import { say, writeText } from './files.ts';
import { loadScenarioFile } from './node-scenario.ts';

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
  const loaded = loadScenarioFile(file);
  if (!loaded.ok) {
    for (const problem of loaded.problems) say(process.stderr, problemText(problem));
    say(process.stderr, 'nothing was run');
    return EXIT_SET_UP;
  }
  const { content } = loaded;
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
