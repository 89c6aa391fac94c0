/** `campaign --point` and `--with`: plays one run again, prints all its checks, or saves it as a scenario of its own. */
import { jobsOf } from '../campaign/jobs.ts';
import type { Plan } from '../campaign/load.ts';
import type { Values } from '../campaign/results.ts';
import { loadPoint, pointText, refusal } from '../campaign/trial.ts';
import { SetUpError } from '../links/errors.ts';
import { type PlaySetting, playText } from './campaign-play.ts';
import { valuesText } from './campaign-text.ts';
import { exitOf } from './exit.ts';
import { say, writeText } from './files.ts';
import { CAUTION, runLines } from './report-text.ts';

export interface PointOptions {
  readonly point?: string;
  readonly with?: readonly string[];
  readonly save?: string;
}

/** Returns the exit code. Throws SetUpError when there is no such point or place. */
export async function onePoint(plan: Plan, setting: PlaySetting, options: PointOptions): Promise<number> {
  const values = {
    ...(options.point === undefined ? {} : pointValues(plan, options.point)),
    ...withValues(options.with),
  };
  const loaded = loadPoint(plan.content, values, plan.scenarioFile);
  if (!loaded.ok) throw new SetUpError(`${valuesText(values)}: ${refusal(loaded)}`);
  const text = pointText(plan.content, values);
  if (options.save !== undefined) {
    writeText('scenario', options.save, `${text}\n`);
    say(process.stdout, `${options.save} has the scenario with ${valuesText(values) || 'nothing changed'}`);
    return 0;
  }
  say(process.stdout, `with ${valuesText(values) || 'nothing changed'}`);
  const { played, run } = await playText(text, setting);
  if (run) for (const line of runLines(run.facts, run.outcome)) say(process.stdout, line);
  else say(process.stdout, `${played.verdict}: ${played.why}`);
  say(process.stdout, CAUTION);
  return exitOf(played.verdict);
}

function pointValues(plan: Plan, text: string): Values {
  const jobs = jobsOf(plan);
  const point = Number(text);
  if (!jobs.single) throw new SetUpError(`--point ${text}: the runs of a search are named by their values; use --with`);
  if (!/^\d+$/.test(text) || point < 1 || point > jobs.count) {
    throw new SetUpError(`--point ${text}: allowed is 1 to ${jobs.count}`);
  }
  const step = jobs.start(point).next([]);
  return step.done ? {} : step.value[0];
}

/** Reads 'place=value'. A value that reads as a plain number is one: scenarios take numbers where there is no unit. */
function withValues(given: readonly string[] = []): Values {
  return Object.fromEntries(
    given.map((each) => {
      const [, place, text] = /^([^=]+)=(.*)$/s.exec(each) ?? [];
      if (place === undefined)
        throw new SetUpError(`--with ${each}: allowed is place=value, such as 'faults.1.size=3 %'`);
      const plain = text.trim() !== '' && Number.isFinite(Number(text));
      return [place, text === 'true' ? true : text === 'false' ? false : plain ? Number(text) : text];
    }),
  );
}
