import { readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';
import { buildHash } from './src/cli/node-build.ts';
import { OFFLINE_FILE, sealOffline } from './src/cli/node-offline.ts';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8'));

/** Every test file. */
const TESTS = 'tests/**/*.test.ts';
/**
 * Tests in which no clock matters: their figures are the same beside others, so as many run at once as there are cores. The
 * rest have the machine to themselves, one file after the other.
 */
const BESIDE = [
  'tests/{campaign,control,faults,plant,report,scenario,scenario-library,sensing,sensorless,units,verification}/**/*.test.ts',
];

/** Adds the worker that keeps the page for use offline, and seals the build once all its files are written. */
const offline: Plugin = {
  name: 'offline',
  apply: 'build',
  buildStart() {
    this.emitFile({ type: 'chunk', id: './worker/offline.worker.ts', fileName: OFFLINE_FILE });
  },
  writeBundle: {
    order: 'post',
    handler({ dir = 'dist' }) {
      sealOffline(dir);
    },
  },
};

export default defineConfig({
  base: './',
  publicDir: 'components/install/files',
  plugins: [offline],
  define: { PROGRAM_VERSION: JSON.stringify(version), PROGRAM_BUILD: JSON.stringify(buildHash()) },
  build: { outDir: 'dist', target: 'es2022' },
  worker: { format: 'es' },
  test: {
    testTimeout: 120_000,
    hookTimeout: 120_000,
    projects: [
      {
        extends: true,
        test: { name: 'beside', include: BESIDE, maxWorkers: availableParallelism(), sequence: { groupOrder: 0 } },
      },
      {
        extends: true,
        test: { name: 'alone', include: [TESTS], exclude: BESIDE, maxWorkers: 1, sequence: { groupOrder: 1 } },
      },
    ],
  },
});
