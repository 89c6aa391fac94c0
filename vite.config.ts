import { readFileSync } from 'node:fs';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';
import { buildHash } from './src/cli/node-build.ts';
import { OFFLINE_FILE, sealOffline } from './src/cli/node-offline.ts';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8'));

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
  test: { include: ['tests/**/*.test.ts'], testTimeout: 120_000, hookTimeout: 120_000 },
});
