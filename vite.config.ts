import { defineConfig } from 'vitest/config';

export default defineConfig({
  base: './',
  build: { outDir: 'dist', target: 'es2022' },
  worker: { format: 'es' },
  test: { include: ['tests/**/*.test.ts'], testTimeout: 120_000, hookTimeout: 120_000 },
});
