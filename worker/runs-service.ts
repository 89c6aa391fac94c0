/** Plays files beside the bench on show: the program of the second worker. */
import { type Shard, shardOf } from '../src/campaign/shard.ts';
import { loadPoint, refusal } from '../src/campaign/trial.ts';
import { cellsOf } from './campaign-cells.ts';
import { CampaignDesk } from './campaign-desk.ts';
import { Lanes } from './lanes.ts';
import { type Kept, playFile } from './play-file.ts';
import { campaignReport, runReport } from './run-reports.ts';
import type { CampaignStands, LibraryRow, OpenedFile, Plan, ReadFile, RunsApi } from './runs-api.ts';

/** Hash of the sources that decide what a run does; put in when the page is built. */
declare const PROGRAM_BUILD: string;

/** Between two words on how a campaign stands [ms]. */
const NEWS_MS = 200;

type Awaitable<T> = T | Promise<Awaited<T>>;
type Facade = {
  readonly [K in keyof RunsApi]: (...given: Parameters<RunsApi[K]>) => Awaitable<ReturnType<RunsApi[K]>>;
};

export class RunsService {
  /** The run that was played last. */ private last: Kept | undefined;
  private desk: CampaignDesk | undefined;
  private lanes: Lanes | undefined;

  /** The frozen set of functions that the page may call. */
  facade(): Facade {
    return Object.freeze<Facade>({
      library: async (): Promise<readonly LibraryRow[]> => (await import('./library.ts')).libraryRows(),
      text: async (place: string): Promise<string> => {
        const text = (await import('./library.ts')).LIBRARY.get(place);
        if (text === undefined) throw new RangeError(`the library has no file '${place}'`);
        return text;
      },
      read: async (file: OpenedFile, beside?: readonly OpenedFile[]): Promise<ReadFile> =>
        (await import('./read-file.ts')).readFile(file, beside),
      play: async (scenario, file, otherwise, on) => {
        const kept = await playFile(scenario, file, otherwise, on);
        this.last = kept;
        return kept.ended;
      },
      report: (kind) => {
        if (!this.last) throw new Error('nothing was played yet');
        return runReport(kind, this.last);
      },
      campaign: (plan, part, on) => this.campaign(plan, part, on),
      stopCampaign: () => this.stop(),
      cells: (row, column) => cellsOf(this.desk?.ordered ?? [], row, column, this.desk?.cases),
      pointScenario: (run) => {
        const { desk } = this;
        if (!desk) throw new Error('no campaign was run yet');
        const { plan } = desk;
        const loaded = loadPoint(plan.content, desk.valuesOf(run), plan.scenarioFile);
        if (!loaded.ok) throw new Error(refusal(loaded));
        return loaded.scenario;
      },
      campaignFile: async () => {
        if (!this.desk) throw new Error('no campaign was run yet');
        return await this.desk.file(PROGRAM_BUILD);
      },
      campaignReport: (kind) => {
        const { desk } = this;
        if (!desk) throw new Error('no campaign was run yet');
        return campaignReport(kind, desk.plan, desk.ordered, desk.stands.done === desk.stands.points);
      },
    });
  }

  private async campaign(plan: Plan, part: string, on: (stands: CampaignStands) => void): Promise<boolean> {
    if (this.lanes) throw new Error('a campaign is running here already');
    const shard = part === '' ? undefined : partOf(part);
    const asked = JSON.stringify([plan, shard]);
    if (!this.desk || JSON.stringify([this.desk.plan, this.desk.shard]) !== asked)
      this.desk = new CampaignDesk(plan, shard);
    const { desk } = this;
    const lanes = new Lanes(desk.stands.points);
    this.lanes = lanes;
    let told_ms = 0;
    try {
      return await desk.run(lanes, () => {
        const now_ms = performance.now();
        if (now_ms - told_ms < NEWS_MS) return;
        told_ms = now_ms;
        on(desk.stands);
      });
    } finally {
      this.lanes = undefined;
      lanes.close();
      on(desk.stands);
    }
  }

  private stop(): void {
    this.desk?.stop();
    this.lanes?.close();
  }
}

/** Throws RangeError that says what is allowed. */
function partOf(text: string): Shard {
  if (!/^\d+\/\d+$/.test(text)) throw new RangeError(`part '${text}'; allowed is i/n, such as 2/8, or nothing`);
  try {
    return shardOf(text, {});
  } catch (error) {
    throw new RangeError(`part ${(error as Error).message}`);
  }
}
