/**
 * Which part of a campaign is run here: named on the command line, or taken from what a batch system puts into the
 * environment of each of its jobs.
 *
 * Conventions, all of them documented and open: arrays of Slurm (SLURM_ARRAY_TASK_ID, _COUNT, _MIN, _STEP; sbatch manual),
 * indexed jobs of Kubernetes (JOB_COMPLETION_INDEX from 0, the count is the job's `completions`), GNU parallel
 * (PARALLEL_SEQ from 1; from memory). The last two do not say how many there are: `env/8` does.
 */
export interface Shard {
  /** From 1. */ readonly index: number;
  readonly count: number;
}

export type Environment = Readonly<Record<string, string | undefined>>;

export const SHARDS_MOST = 10_000;

/** Reads 'i/n', 'env' or 'env/n'. Throws RangeError that says what is allowed. */
export function shardOf(text: string, environment: Environment): Shard {
  const own = /^(\d+)\/(\d+)$/.exec(text);
  if (own) return checked(Number(own[1]), Number(own[2]), text);
  const outside = /^env(?:\/(\d+))?$/.exec(text);
  if (!outside) throw new RangeError(`'${text}'; allowed are i/n, such as 2/8, env, and env/n`);
  return fromEnvironment(environment, outside[1] === undefined ? undefined : Number(outside[1]), text);
}

/** Every n-th point: parts take about the same time, whatever grows along the campaign. */
export function pointsOfShard(points: number, { index, count }: Shard): number[] {
  const own: number[] = [];
  for (let point = index; point <= points; point += count) own.push(point);
  return own;
}

export function shardText({ index, count }: Shard): string {
  return `${index}/${count}`;
}

function checked(index: number, count: number, text: string): Shard {
  if (count < 1 || count > SHARDS_MOST || index < 1 || index > count) {
    throw new RangeError(`'${text}' is part ${index} of ${count}; allowed is 1/n to n/n, with n up to ${SHARDS_MOST}`);
  }
  return { index, count };
}

function fromEnvironment(environment: Environment, given: number | undefined, text: string): Shard {
  const whole = (name: string): number | undefined => {
    const value = environment[name];
    if (value === undefined || value === '') return undefined;
    if (!/^\d+$/.test(value)) throw new RangeError(`${name} is '${value}'; allowed is a whole number`);
    return Number(value);
  };
  const task = whole('SLURM_ARRAY_TASK_ID');
  if (task !== undefined) {
    const count = given ?? whole('SLURM_ARRAY_TASK_COUNT');
    if (count === undefined) throw new RangeError('SLURM_ARRAY_TASK_COUNT is not set; name the count as env/n');
    const first = whole('SLURM_ARRAY_TASK_MIN') ?? 0;
    const place = (task - first) / (whole('SLURM_ARRAY_TASK_STEP') || 1);
    if (!Number.isInteger(place) || place < 0 || place >= count) {
      const array = `the array begins at ${first} and has ${count} tasks`;
      throw new RangeError(
        `SLURM_ARRAY_TASK_ID ${task} is no place in a row (${array}); allowed is one range, evenly stepped`,
      );
    }
    return checked(place + 1, count, text);
  }
  for (const [name, first] of [
    ['JOB_COMPLETION_INDEX', 0],
    ['PARALLEL_SEQ', 1],
  ] as const) {
    const index = whole(name);
    if (index === undefined) continue;
    if (given === undefined)
      throw new RangeError(`${name} does not say how many parts there are; name the count as env/n`);
    return checked(index - first + 1, given, `${name} ${index} with ${text}`);
  }
  throw new RangeError(
    `'${text}': none of SLURM_ARRAY_TASK_ID, JOB_COMPLETION_INDEX and PARALLEL_SEQ is set; allowed are i/n, or env in such a job`,
  );
}
