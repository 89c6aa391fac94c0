/** Program of a worker of a campaign: takes the text of a run, plays it, answers with its result. */
import { parentPort, workerData } from 'node:worker_threads';
import type { Answer } from '../campaign/node-pool.ts';
import { type PlaySetting, playText } from './campaign-play.ts';

const { setting } = workerData as { readonly setting: PlaySetting };

async function answer({ id, text }: { readonly id: number; readonly text: string }): Promise<Answer> {
  try {
    const { played, wall_s } = await playText(text, setting);
    return { id, played, wall_s };
  } catch (error) {
    return { id, failed: String((error as Error).stack ?? error) };
  }
}

parentPort?.on('message', async (task: { id: number; text: string }) => {
  parentPort?.postMessage(await answer(task));
});
