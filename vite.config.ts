import { readFileSync } from 'node:fs';
import { defineConfig } from 'vitest/config';
import { buildHash } from './src/cli/node-build.ts';

const { version } = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8'));

export default defineConfig({
  base: './',
  define: { PROGRAM_VERSION: JSON.stringify(version), PROGRAM_BUILD: JSON.stringify(buildHash()) },
  build: { outDir: 'dist', target: 'es2022' },
  worker: { format: 'es' },
  test: { include: ['tests/**/*.test.ts'], testTimeout: 120_000, hookTimeout: 120_000 },
});
