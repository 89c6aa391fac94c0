/** A worker that plays files, beside the one of the bench on show. */
import { proxy, type Remote, releaseProxy, wrap } from 'comlink';
import type { CampaignStands, Otherwise, Plan, RunEnded, RunStands, RunsApi, Scenario } from '../../worker/api.ts';

interface Hired {
  readonly worker: Worker;
  readonly api: Remote<RunsApi>;
}

function hire(): Hired {
  const worker = new Worker(new URL('../../worker/runs.worker.ts', import.meta.url), { type: 'module' });
  return { worker, api: wrap<RunsApi>(worker) };
}

export class RunsDesk {
  private hired: Hired | undefined;
  private drop: (() => void) | undefined;

  get api(): Remote<RunsApi> {
    this.hired ??= hire();
    return this.hired.api;
  }

  /** Plays a file. Resolves with undefined when it was given up. */
  async play(
    scenario: Scenario,
    file: string,
    otherwise: Otherwise,
    on: (stands: RunStands) => void,
  ): Promise<RunEnded | undefined> {
    const { api } = this;
    const dropped = new Promise<undefined>((resolve) => {
      this.drop = () => resolve(undefined);
    });
    return Promise.race([api.play(scenario, file, otherwise, proxy(on)), dropped]);
  }

  /** Runs a campaign, or what is left of it. */
  campaign(plan: Plan, part: string, on: (stands: CampaignStands) => void): Promise<boolean> {
    return this.api.campaign(plan, part, proxy(on));
  }

  /** Gives up what is played: the worker ends with it, and the next question starts another. */
  giveUp(): void {
    this.drop?.();
    this.close();
  }

  close(): void {
    this.hired?.api[releaseProxy](); // calls that are never answered would keep whoever waits for them
    this.hired?.worker.terminate();
    this.hired = undefined;
  }
}
