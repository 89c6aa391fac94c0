/** Runs a WASI program: node run-wasi.mjs program.wasm [arguments...]. Standard streams are those of this process. */
import { readFile } from 'node:fs/promises';
import { WASI } from 'node:wasi';

const [path, ...rest] = process.argv.slice(2);
const wasi = new WASI({ version: 'preview1', args: [path, ...rest], returnOnExit: true });
const { instance } = await WebAssembly.instantiate(await readFile(path), wasi.getImportObject());
process.exitCode = wasi.start(instance);
