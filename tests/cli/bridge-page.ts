/** A page with the worker of bridge-worker.ts beside it, and that worker put to work in a browser. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { build } from 'vite';
import type { Done, Task } from './bridge-worker.ts';
import { folder } from './sim.ts';

const WORKER = fileURLToPath(new URL('bridge-worker.ts', import.meta.url));
const BOARD = fileURLToPath(new URL('../links/odd-board.ts', import.meta.url));
/** A board that is a process and answers without end. */
export const BOARD_LINK = `exec:exec '${process.execPath}' --import tsx '${BOARD}' well 1000000000`;

/** A page with the worker beside it. */
export async function buildPage(): Promise<string> {
  const into = join(folder(), 'page');
  mkdirSync(into, { recursive: true });
  await build({
    configFile: false,
    logLevel: 'warn',
    build: {
      outDir: into,
      emptyOutDir: true,
      target: 'es2022',
      lib: { entry: WORKER, formats: ['es'], fileName: () => 'worker.js' },
    },
  });
  writeFileSync(join(into, 'index.html'), '<!doctype html><meta charset="utf-8"><title>bench</title>');
  return into;
}

/** Starts the worker of the page that is open, gives it its task, and waits for what it says. */
export const inWorker = (page: Page, task: Task): Promise<Done> =>
  page.evaluate(
    (given) =>
      new Promise<Done>((resolve, reject) => {
        const worker = new Worker(new URL('worker.js', location.href.split('#')[0]), { type: 'module' });
        worker.onerror = (event) => reject(new Error(`worker: ${event.message}`));
        worker.onmessage = ({ data }) => {
          worker.terminate();
          resolve(data);
        };
        worker.postMessage(given);
      }),
    task,
  );
