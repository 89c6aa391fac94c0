/** A program of a test, for a page or a worker. */
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

/** Bundles a file of this folder into one plain script. */
export async function script(file: string): Promise<string> {
  const input = fileURLToPath(new URL(file, import.meta.url));
  const result = await build({
    configFile: false,
    logLevel: 'error',
    build: { write: false, minify: false, rollupOptions: { input, output: { format: 'iife' } } },
  });
  const [{ output }] = [result].flat() as { output: { type: string; code: string }[] }[];
  return output[0].code;
}
