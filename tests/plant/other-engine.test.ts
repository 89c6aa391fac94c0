/**
 * The same bits in an engine that shares nothing with V8: the plant, bundled as it is, inside QuickJS compiled to
 * WebAssembly. Real arithmetic of ECMAScript is that of IEEE 754; where an engine had its own sine or fused a multiply
 * with an add, the hash would tell.
 */
import { fileURLToPath } from 'node:url';
import { getQuickJS } from 'quickjs-emscripten';
import { build } from 'vite';
import { describe, expect, it } from 'vitest';
import { stretchHash } from './stretch-hash.ts';

const ENTRY = fileURLToPath(new URL('./stretch-hash.ts', import.meta.url));

/** The program as one classic script that leaves its exports in `bundle`. */
async function bundled(): Promise<string> {
  const result = await build({
    configFile: false,
    logLevel: 'silent',
    build: {
      write: false,
      minify: false,
      lib: { entry: ENTRY, formats: ['iife'], name: 'bundle', fileName: 'bundle' },
    },
  });
  const [output] = Array.isArray(result) ? result : [result];
  if (!('output' in output)) throw new Error('vite gave no output');
  return output.output[0].code;
}

describe('another engine', () => {
  it('ends a run with every effect on at the hash of this one', { timeout: 120_000 }, async () => {
    const script = await bundled();
    const engine = (await getQuickJS()).newContext();
    try {
      const answer = engine.unwrapResult(engine.evalCode(`${script}; bundle.stretchHash()`));
      expect(engine.getString(answer)).toBe(stretchHash());
      answer.dispose();
    } finally {
      engine.dispose();
    }
  });
});
