/** The first line of a result file, alike wherever a campaign runs, so that parts of it go together. */
import type { Jobs } from './jobs.ts';
import type { Plan } from './load.ts';
import type { ResultHead } from './results.ts';
import { type Shard, shardText } from './shard.ts';

/** Text whose SHA-256 tells one campaign from another. */
export function identityOf({ campaign, content }: Plan, controller = ''): string {
  return JSON.stringify([campaign, content, controller]);
}

export interface HeadFacts {
  readonly plan: Plan;
  readonly jobs: Jobs;
  /** SHA-256 of the identity, hexadecimal. */ readonly campaign: string;
  /** Controller in place of the one that the files name. */ readonly controller?: string | undefined;
  /** Hash of the program that runs it. */ readonly build: string;
  readonly shard?: Shard | undefined;
}

export function resultHead({ plan, jobs, campaign, controller = '', build, shard }: HeadFacts): ResultHead {
  return {
    format: 'campaign results',
    version: 1,
    title: plan.campaign.title,
    campaign,
    controller,
    points: jobs.count,
    build,
    shard: shard ? shardText(shard) : '',
  };
}
